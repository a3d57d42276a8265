// SPDX-License-Identifier: Apache-2.0
//
// Wald's sequential probability ratio test of two simple hypotheses on a mean, with its lines,
// decisions, chance of each answer and expected number of values.
//
// The running sum is compared with two parallel lines: at or below the lower one the first value
// (mean0) is accepted, at or above the upper one the second (mean1); between, go on. Overshoot is
// neglected, so true error rates are a little below, and sample numbers a little above, what is
// stated. The known dispersion is taken as exact. mean0 > mean1 is allowed: the test is then
// run on the mirrored scale and the lines keep their meaning (accept_first above).
// Sources: Wald, Sequential Analysis, 1947; NIST/SEMATECH e-Handbook 6.2.6 for the binomial lines;
// Waters (1955) Forest Sci. 1:68 for the negative binomial (from memory).
//
//   auto test = sprt_negative_binomial(150, 180, 20, 0.05, 0.05);
//   if (test->decide(n, sum) == SequentialDecision::accept_second) …
//   double n_expected = test->expected_n(180);
#pragma once

#include <cstdint>
#include <optional>

#include "stats/interval.h"

namespace nthtree::stats {

enum class SequentialDecision { go_on, accept_first, accept_second };
enum class CountFamily { normal, poisson, negative_binomial, binomial };

class SequentialTest {
 public:
  CountFamily family() const { return family_; }
  double mean_first() const { return mean0_; }
  double mean_second() const { return mean1_; }
  double slope() const { return slope_; }
  // Sum at or below lower_line(n) accepts mean0 (for mean0 < mean1), at or above upper_line(n)
  // accepts mean1.
  double intercept_low() const { return intercept_low_; }
  double intercept_high() const { return intercept_high_; }
  double lower_line(double n) const { return intercept_low_ + slope_ * n; }
  double upper_line(double n) const { return intercept_high_ + slope_ * n; }
  // For whole counts: the largest sum that accepts the lower mean (none when below zero) and the
  // smallest that accepts the upper one.
  std::optional<std::int64_t> acceptance_number(std::int64_t n) const;
  std::int64_t rejection_number(std::int64_t n) const;

  SequentialDecision decide(double n, double sum) const;
  // Log likelihood ratio ln(f1/f0) of a sum of n values.
  double log_ratio(double n, double sum) const;

  // Wald's approximations at any true mean of the family's range.
  double chance_second(double true_mean) const;  // 1 - operating characteristic
  double expected_n(double true_mean) const;

  friend Result<SequentialTest> sprt_normal(double, double, double, double, double);
  friend Result<SequentialTest> sprt_poisson(double, double, double, double);
  friend Result<SequentialTest> sprt_negative_binomial(double, double, double, double, double);
  friend Result<SequentialTest> sprt_binomial(double, double, double, double);

 private:
  SequentialTest(CountFamily family, double mean0, double mean1, double dispersion, double alpha,
                 double beta, double per_unit, double per_value);
  double wald_exponent(double true_mean) const;
  double log_moment(double exponent, double true_mean) const;
  double increment_variance(double true_mean) const;

  CountFamily family_;
  double mean0_, mean1_;
  double dispersion_;           // sd, or k
  double per_unit_, per_value_; // one value x adds per_unit x - per_value to the log ratio
  double bound_low_, bound_high_;
  double slope_, intercept_low_, intercept_high_;
};

// alpha: chance to accept mean1 although mean0 holds; beta: the other way; both above 0 and their
// sum below 1. mean0 != mean1; means of counts, sd and k from 1e-6 to 1e9. Errors: out_of_range.
Result<SequentialTest> sprt_normal(double mean0, double mean1, double sd, double alpha,
                                   double beta);
Result<SequentialTest> sprt_poisson(double mean0, double mean1, double alpha, double beta);
// variance = mean + mean²/k, k > 0.
Result<SequentialTest> sprt_negative_binomial(double mean0, double mean1, double k, double alpha,
                                              double beta);
// Probabilities strictly between 0 and 1; each value is 0 or 1.
Result<SequentialTest> sprt_binomial(double probability0, double probability1, double alpha,
                                     double beta);

}  // namespace nthtree::stats
