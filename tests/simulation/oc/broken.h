// SPDX-License-Identifier: Apache-2.0
//
// Days on which the trees are not as assumed: how often a change is told that should not be, and
// whether the app says at that moment that something does not fit.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "methods.h"
#include "world.h"

namespace nthtree::oc {

struct Broken {
  std::string name;
  Truth truth;
};
std::vector<Broken> broken_worlds();

struct BrokenRates {  // shares of days of a hundred counts, looked at after every one
  double told = 0;      // a change
  double unsaid = 0;    // a change, and no note beside it when it was first told
  double row_wrong = 0; // a change that does not fit the rows counted until then either
  double noted = 0;     // a note at the day's end
};

// others_counts: trees of the same block counted by the rest of the crew before.
BrokenRates broken_days(const Truth& truth, int others_counts, int days, std::uint64_t seed);

}  // namespace nthtree::oc
