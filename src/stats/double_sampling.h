// SPDX-License-Identifier: Apache-2.0
//
// Two-phase (double) sampling: many cheap measures x, and on some of the same units the dear
// measure y; the mean of y is estimated from both.
//
// The second phase is a random part of the first. The ratio suits y proportional to x, the
// regression any straight line (three pairs or more, better ten). Source: Cochran, Sampling
// Techniques, 3rd ed. 1977, ch. 12 (from memory): the regression's variance is
// s²_yx/n + (s²_y - s²_yx)/n' - s²_y/N. Where the first phase's variance of x is known, the second
// term is slope² s²_x'/n' instead: it stands on n' units, not n, and Satterthwaite's degrees of
// freedom say so (with n alone six pairs covered 96.3 %, so they asked too much). Intervals of
// values that are all zero or more are taken on the logarithm.
//
//   auto mean = two_phase_regression(checks, tags_of_checked, all_tags);
//   if (mean) show(mean->mean, mean->interval);
#pragma once

#include <cstddef>
#include <limits>
#include <span>

#include "stats/interval.h"

namespace nthtree::stats {

struct TwoPhaseEstimate {
  std::size_t n = 0;         // units with both
  std::size_t n_first = 0;   // units with x
  double mean = 0;           // of y
  double standard_error = 0;
  double df = 0;             // n - 1 (ratio), n - 2 (regression); more where the first phase's
                             // own spread is known (Satterthwaite)
  Interval interval;
  double slope = 0;          // ratio or regression slope
  double correlation = 0;
  double variance_second = 0;  // part that more dear measures would bring down
  double variance_first = 0;   // part that more cheap ones would
  double gain = 1;           // variance of the plain mean of y over this variance
};

struct FirstPhase {
  std::size_t n = 0;
  double mean = 0;
  double variance = 0;  // of x, divisor n - 1; 0: not known, Cochran's form from the pairs alone
};

// y and x of the doubly measured units in the same order; x_first of all units, those included.
// population >= n_first. Errors: too_few_values, not_finite, out_of_range.
Result<TwoPhaseEstimate> two_phase_ratio(
    std::span<const double> y, std::span<const double> x, std::span<const double> x_first,
    double confidence = 0.95, double population = std::numeric_limits<double>::infinity());
Result<TwoPhaseEstimate> two_phase_regression(
    std::span<const double> y, std::span<const double> x, std::span<const double> x_first,
    double confidence = 0.95, double population = std::numeric_limits<double>::infinity());
Result<TwoPhaseEstimate> two_phase_ratio(
    std::span<const double> y, std::span<const double> x, const FirstPhase& first,
    double confidence = 0.95, double population = std::numeric_limits<double>::infinity());
Result<TwoPhaseEstimate> two_phase_regression(
    std::span<const double> y, std::span<const double> x, const FirstPhase& first,
    double confidence = 0.95, double population = std::numeric_limits<double>::infinity());

// Cost of one y over cost of one x above which two phases beat spending all on y, for the
// regression estimator: (1 + √(1-ρ²))² / ρ². 0 < |correlation| <= 1.
Result<double> two_phase_cost_threshold(double correlation);

}  // namespace nthtree::stats
