// SPDX-License-Identifier: Apache-2.0
//
// What re-counts buy: days of a pruner in a crew, whose own counting is drawn from what is believed
// of people (one in ten unlike the rest), with none, one, two or five of the first trees re-counted.
#pragma once

#include <cstdint>

namespace nthtree::oc {

struct UncheckedPlan {
  int days = 500;
  int counts = 40;            // of the pruner, looked at after every one
  int recounts = 0;           // of the first trees
  bool mates_checked = false; // three pairs of everybody else
  double ratio = 1;           // true mean left ÷ target
  double seen = 0;            // of the spurs, by this pruner; 0: drawn anew each day
};

struct UncheckedRates {       // shares of days
  double told_change = 0, told_wrong_way = 0;
  double right = 0;           // the change that is due, at one and a half tolerances
  double asked = 0;           // open at the end, and a re-count is what helps
  double covered = 0;         // the 90 % interval of the mean left, at the end
};

UncheckedRates simulate_unchecked(const UncheckedPlan& plan, std::uint64_t seed);

}  // namespace nthtree::oc
