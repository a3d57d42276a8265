// SPDX-License-Identifier: Apache-2.0
//
// How long our level chart takes to find a change, beside the CUSUM that knows the mean and the
// spread (optimal at its run length: G. Moustakides, Ann. Stat. 14, 1986), a three-sigma chart and
// a textbook EWMA.
#pragma once

#include <cstdint>

namespace nthtree::oc {

// learning: the likelihood ratio of a step after each count, the mean before it not known (M.
// Pollak and D. Siegmund, Annals of Statistics 19, 1991); the larger of the two directions.
enum class Chart { ours, optimal, learning, shewhart, ewma };

struct DriftPlan {
  int runs = 2000;
  int counts_before = 50;   // in control, from which ours learns the mean
  double cv = 0.25;
  double run_length = 400;  // in control, aimed at; ours aims higher (drift_model.h)
  double limit = 4.5;       // of the learning chart, ln of the likelihood ratio
  int counts_most = 1500;
};

struct Delay {
  double mean = 0, never = 0;  // counts until the alarm; share of runs without one
  double early = 0;            // share of runs with an alarm before the change
};

Delay delay_of_step(Chart chart, const DriftPlan& plan, double step, std::uint64_t seed);
Delay delay_of_slope(Chart chart, const DriftPlan& plan, double per_count, std::uint64_t seed);
double run_length_in_control(Chart chart, const DriftPlan& plan, std::uint64_t seed);

// The plan with ours (run_length) or the learning chart (limit) set so that the run length measured
// in control is `wanted`: charts are compared at the same one.
DriftPlan set_to_run_length(Chart chart, DriftPlan plan, double wanted, std::uint64_t seed);

}  // namespace nthtree::oc
