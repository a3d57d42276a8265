// SPDX-License-Identifier: Apache-2.0
//
// The exponentially weighted moving average chart and its run lengths.
//
// z_t = λ x_t + (1-λ) z_{t-1}, limits target ± L sd √(λ/(2-λ)) (fixed), or with the factor
// √(1-(1-λ)^{2t}) (exact: narrower at first, so it signals early steps sooner). For independent
// near-normal values of known sd. λ = 0.3, L = 3 has an in-control run length of 466, not 370.
// Sources: Roberts (1959) Technometrics 1:239; Crowder (1987) Technometrics 29:401 (integral
// equation); Lucas and Saccucci (1990) Technometrics 32:1; NIST/SEMATECH e-Handbook 6.3.2.4.
//
//   EwmaDesign design{.target = 50, .sd = 2.0539, .lambda = 0.3, .width = 3};
//   EwmaState state = start(design);
//   for (double x : values) if (step(design, state, x).signal != 0) …
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "stats/interval.h"

namespace nthtree::stats {

struct EwmaDesign {
  double target = 0;
  double sd = 1;
  double lambda = 0.2;       // 0 < λ <= 1
  double width = 2.962;      // L
  bool exact_limits = false;
};

struct EwmaState {
  double z = 0;
  std::size_t n = 0;
  int signal = 0;            // of the last value: -1 below, 1 above the limits
};

EwmaState start(const EwmaDesign& design);
EwmaState& step(const EwmaDesign& design, EwmaState& state, double value);
// Limits for value number n >= 1.
Interval ewma_limits(const EwmaDesign& design, std::size_t n);

struct EwmaRun {
  std::vector<double> z;
  std::size_t signal_at = 0;  // 1-based; 0: none
  int side = 0;
};
// Errors: not_finite, out_of_range (lambda, width, sd).
Result<EwmaRun> run_ewma(const EwmaDesign& design, std::span<const double> values);

// Average run lengths of the two-sided chart with fixed limits after a shift in units of sd, from
// z = target. 0.01 <= lambda <= 1, 0 < width <= 6.
Result<double> ewma_run_length(double lambda, double width, double shift);
// With both one-sided charts given a head start of `head_start` times the limit, 0 … 1
// (fast initial response of Lucas and Saccucci).
Result<double> ewma_run_length_fast(double lambda, double width, double shift,
                                    double head_start);
// With the exact limits, which widen with n.
Result<double> ewma_run_length_exact(double lambda, double width, double shift);
// The L that gives a wanted in-control run length (> 1.5) with fixed limits.
Result<double> ewma_width_for_run_length(double lambda, double run_length);

}  // namespace nthtree::stats
