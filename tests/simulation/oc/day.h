// SPDX-License-Identifier: Apache-2.0
//
// Many days of one pruner under one method: what was told, when, and how often wrongly.
//
//   Rates rates = simulate_days(*method, truth, {.days = 2000, .counts_a_day = 100}, seed);
#pragma once

#include <cstdint>
#include <vector>

#include "methods.h"
#include "world.h"

namespace nthtree::oc {

struct DayPlan {
  int days = 1000;
  int counts_a_day = 100;
  bool stop_at_verdict = false;  // look no further after the first verdict
};

struct Rates {
  int days = 0;
  double told_harder = 0, told_lighter = 0;  // ever, looking after every tree
  double first_harder = 0, first_lighter = 0, first_on_target = 0, first_none = 0;
  double trees_mean = 0, trees_p95 = 0;      // counted until the first verdict (all counts if none)
  double told_change() const { return told_harder + told_lighter - told_both; }
  double told_both = 0;
};

Rates simulate_days(Method& method, const Truth& truth, const DayPlan& plan, std::uint64_t seed);

}  // namespace nthtree::oc
