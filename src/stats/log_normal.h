// SPDX-License-Identifier: Apache-2.0
//
// The log-normal distribution fitted to positive values.
//
// Not for zeros. mean = exp(μ + σ²/2), cv = √(exp(σ²) - 1). Interval of the mean: Cox's modified
// form with t (Olsson 2005, J. Stat. Educ. 13(1)). The log likelihood is of the values themselves
// at σ with divisor n, so it can be set beside the negative binomial's.
//
//   auto fit = fit_log_normal(counts);
//   if (fit) show(fit->mean, fit->cv);
#pragma once

#include <cstddef>
#include <span>

#include "stats/interval.h"

namespace nthtree::stats {

struct LogNormalFit {
  std::size_t n = 0;
  double log_mean = 0;       // μ
  double log_sd = 0;         // σ, divisor n - 1
  double median = 0;         // exp(μ)
  double mean = 0;
  double cv = 0;
  Interval mean_interval;
  double log_likelihood = 0; // 0 when all values are alike
};

// Two values or more, all above 0. Errors: too_few_values, not_finite, out_of_range.
Result<LogNormalFit> fit_log_normal(std::span<const double> values, double confidence = 0.95);

struct LogNormalGoodness {
  double classes = 0;      // of about equal chance
  double chi_squared = 0;
  double df = 0;           // classes - 3; 0 means that it cannot be told
  double p_value = 1;
};

// Pearson's chi-square in classes of about equal chance under the fit, each expecting some
// `expected_min` values; of whole numbers each class ends between two of them. Errors as above.
Result<LogNormalGoodness> goodness_of_fit(std::span<const double> values, const LogNormalFit& fit,
                                          double expected_min = 5);

}  // namespace nthtree::stats
