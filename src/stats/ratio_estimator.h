// SPDX-License-Identifier: Apache-2.0
//
// Ratio, difference and regression estimators: the mean of y helped by a companion x whose
// population mean is known.
//
// Large-sample variances with the finite population correction; biased by order 1/n. The divisor
// of the residual squares is explicit, because textbooks differ: Cochran uses n - 2 for the
// regression estimator, Lohr n - 1. Ratio and difference use n - 1 in both.
// Sources: Cochran, Sampling Techniques, 3rd ed. 1977, ch. 6 and 7 (from memory); Lohr, Sampling:
// Design and Analysis, ch. 4.
//
//   auto mean = regression_estimate(y, x, 11.3, {.population = 100});
//   if (mean) show(mean->mean, mean->standard_error);
#pragma once

#include <cstddef>
#include <limits>
#include <span>

#include "stats/interval.h"

namespace nthtree::stats {

enum class ResidualDivisor { n_minus_1, n_minus_2 };

struct EstimatorOptions {
  double population = std::numeric_limits<double>::infinity();  // units, >= n
  double confidence = 0.95;
  ResidualDivisor divisor = ResidualDivisor::n_minus_2;  // of the regression estimator only
  // Ratio only: variance times (X/x)², the population's over the sample's mean of x (Lohr); else
  // as it is (Cochran).
  bool scale_by_x = false;
};

struct CompanionEstimate {
  std::size_t n = 0;
  double mean = 0;            // of y in the population
  double standard_error = 0;
  double df = 0;
  Interval interval;          // of the mean, with t
  double total = 0;           // mean * population; 0 for an infinite one
  double total_standard_error = 0;
  double slope = 0;           // the ratio, the given slope, or the fitted one
  double intercept = 0;       // regression only
  double residual_variance = 0;
  double correlation = 0;     // of y and x in the sample; 0 when either is constant
};

// y and x in the same order, as many; x_mean is the population mean of x. Errors: too_few_values,
// not_finite, out_of_range. The ratio needs two pairs and a sum of x other than 0, the regression
// three pairs and an x that varies.
Result<CompanionEstimate> ratio_estimate(std::span<const double> y, std::span<const double> x,
                                         double x_mean, const EstimatorOptions& options = {});
Result<CompanionEstimate> regression_estimate(std::span<const double> y,
                                              std::span<const double> x, double x_mean,
                                              const EstimatorOptions& options = {});

// Sums of squares about the means, shared with double_sampling.
struct PairMoments {
  double n = 0;
  double y_mean = 0;
  double x_mean = 0;
  double yy = 0;  // Σ(y - mean)²
  double xx = 0;
  double xy = 0;
  double y_min = 0;
};
Result<PairMoments> pair_moments(std::span<const double> y, std::span<const double> x,
                                 std::size_t wanted);

}  // namespace nthtree::stats
