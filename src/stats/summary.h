// SPDX-License-Identifier: Apache-2.0
//
// Mean, standard deviation, coefficient of variation and lag-1 autocorrelation of a sample.
//
// Sums are compensated (Neumaier 1974, ZAMM 54:39) about the first value, and the squares are taken
// about the mean in a second pass, so all nine NIST StRD univariate sets come out to their
// certified digits (tests/reference). Divisor of the variance is n - 1. Autocorrelation uses the
// overall mean and the full sum of squares (NIST e-Handbook 1.3.5.12).
//
//   auto summary = summarize(counts);
//   if (!summary) return summary.error();
//   show(summary->mean, summary->sd, summary->cv);
#pragma once

#include <cstddef>
#include <span>

#include "stats/interval.h"

namespace nthtree::stats {

struct Summary {
  std::size_t n = 0;
  double sum = 0;
  double mean = 0;
  double variance = 0;  // divisor n - 1; 0 when n = 1: look at n before leaning on it
  double sd = 0;
  double cv = 0;        // sd / |mean|; 0 when the mean is 0
  double skewness = 0;  // g1 = m3 / m2^1.5 (divisor n); 0 when all values are alike
  double lag1_autocorrelation = 0;  // in the order given; 0 when all values are alike
  double min = 0;
  double max = 0;
  double standard_error() const;  // sd / sqrt(n)
};

// At least one finite value. Errors: too_few_values, not_finite, out_of_range.
Result<Summary> summarize(std::span<const double> values);

// Sum with the rounding errors carried along (Neumaier 1974); 0 for no values.
double exact_sum(std::span<const double> values);

// Mean and variance of values that arrive one at a time (Welford 1962, Technometrics 4:419).
class RunningSummary {
 public:
  void add(double value);
  std::size_t n() const { return n_; }
  double mean() const { return mean_; }      // 0 before the first value
  double variance() const;                   // 0 for fewer than two values
  double sd() const;

 private:
  std::size_t n_ = 0;
  double mean_ = 0;
  double squares_ = 0;  // sum of squared deviations from the mean
};

}  // namespace nthtree::stats
