// SPDX-License-Identifier: Apache-2.0
//
// Mean spurs on the unpruned trees of a block, 90 %. Internal to advice/: consequences, brief and
// acceptance share it.
#pragma once

#include <cstdint>
#include <vector>

#include "advice/reason.h"
#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

struct Unpruned {
  int trees = 0;
  orchard::Estimate spurs;  // {0,0,0} where nobody counted
  std::vector<double> counts;
  double sd = 0;            // of them; 0 of a single one
};

// Why nothing need come off: `unpruned` spurs on a tree are fewer than the `target` to be left.
Reason all_stays_reason(double unpruned, double target);

Unpruned unpruned_trees(const ledger::BlockSeason& block, std::int64_t cut_ms);

}  // namespace nthtree::advice
