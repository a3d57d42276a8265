// SPDX-License-Identifier: Apache-2.0
//
// The trade's practice beside whole counts: some limbs of a tree, scores by eye before the count,
// and the lead's walk past everybody's trees. What is true of a tree's limbs and of people's eyes,
// and the records that come of it.
#pragma once

#include <map>
#include <string>
#include <utility>

#include "base/random.h"
#include "ledger/bodies.h"

namespace nthtree::scenario {

// An eye with a correlation of 0.75 where trees differ by a fifth, as this farm's do.
constexpr double lead_scatter = 0.15;

class PartWork {
 public:
  explicit PartWork(base::Random& random) : random_(random) {}

  // A tree of so many spurs, of which every limb drawn is counted; `seen` of 100 spurs are found.
  ledger::LimbCounts count_limbs(double truth, double seen, int wanted, std::uint64_t seed);
  // What this person says of a tree; their scale is another one every day.
  // scatter: of this person's eye.
  int score(const std::string& person, int day, double truth, double scatter = lead_scatter);

 private:
  base::Random& random_;
  std::map<std::string, double> slopes_;
  std::map<std::pair<std::string, int>, double> mornings_;
};

}  // namespace nthtree::scenario
