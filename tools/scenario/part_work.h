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

class PartWork {
 public:
  explicit PartWork(base::Random& random) : random_(random) {}

  // A tree of so many spurs, of which every limb drawn is counted; `seen` of 100 spurs are found.
  ledger::LimbCounts count_limbs(double truth, double seen, int wanted, std::uint64_t seed);
  // What this person says of a tree; their scale is another one every day.
  int score(const std::string& person, int day, double truth);

 private:
  struct Eye {
    double slope = 1, scatter = 0.2;
  };
  base::Random& random_;
  std::map<std::string, Eye> eyes_;
  std::map<std::pair<std::string, int>, double> mornings_;
};

}  // namespace nthtree::scenario
