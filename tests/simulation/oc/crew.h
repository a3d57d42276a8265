// SPDX-License-Identifier: Apache-2.0
//
// A whole crew judged together, with a past day to learn from, beside each pruner judged alone
// from the same counts.
#pragma once

#include <cstdint>

#include "methods.h"

namespace nthtree::oc {

struct CrewPlan {
  int pruners = 12;
  int days = 100;             // simulated seasons of one past day and one day judged
  int counts_yesterday = 10;  // of each pruner
  int counts_most = 80;       // of each pruner on the day judged
  double crew_log_mean = 0.05, between_log_sd = 0.20, day_log_sd = 0.06;
  double cv = 0.25;
  bool spreads_differ = false;  // from day to day, 15 to 45 %, instead of cv; calibration only
};

struct CrewRates {
  double trees_per_right = 0;  // counted on the day judged, for each right verdict
  double trees = 0;            // counted by a pruner until the first verdict
  double right = 0, wrong = 0, open = 0;      // shares of pruners
  double told_within_half = 0; // of pruners within half a tolerance, told to change
};

CrewRates simulate_crew(const CrewPlan& plan, bool pooled, std::uint64_t seed);

// Of verdicts by the sureness they claim: what share is right.
struct Calibration {
  double low = 0, high = 1;
  int verdicts = 0;
  double said = 0, right = 0;
};
std::vector<Calibration> calibrate_verdicts(const CrewPlan& plan, double sureness,
                                            std::uint64_t seed);
// The same for "over the band", said of every pruner after every count.
std::vector<Calibration> calibrate_standings(const CrewPlan& plan, std::uint64_t seed);

}  // namespace nthtree::oc
