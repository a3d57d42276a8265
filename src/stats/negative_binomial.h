// SPDX-License-Identifier: Apache-2.0
//
// The negative binomial distribution fitted to counts: variance = mean + mean²/k.
//
// k small means clumped, k infinite means Poisson. Where the variance does not exceed the mean no
// finite k fits and k is given as infinity (inverse_k = 0), never negative and never a division by
// zero. The mean is the sample mean in both fits. Counts may be fractions (corrected counts), for
// the fits only; goodness of fit needs whole ones.
// Sources: Bliss and Fisher (1953) Biometrics 9:176; Anscombe (1950) Biometrika 37:358.
//
//   auto fit = fit_negative_binomial(counts);
//   if (fit) show(fit->mean, fit->k, fit->k_standard_error);
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "stats/interval.h"

namespace nthtree::stats {

struct NegativeBinomialFit {
  std::size_t n = 0;
  double mean = 0;
  double variance = 0;            // sample variance, divisor n - 1
  double k = 0;                   // > 0, infinite for Poisson
  double inverse_k = 0;           // 1 / k, 0 for Poisson: safe in formulas
  double mean_standard_error = 0; // from the fitted variance
  double k_standard_error = 0;    // observed information; 0 for the moments fit and for infinite k
  double log_likelihood = 0;
  bool poisson() const { return inverse_k == 0; }
  double fitted_variance() const { return mean + mean * mean * inverse_k; }
};

// Maximum likelihood. At least two counts >= 0. All zero gives mean 0 and k infinite.
Result<NegativeBinomialFit> fit_negative_binomial(std::span<const double> counts);
// k = mean² / (variance - mean).
Result<NegativeBinomialFit> fit_negative_binomial_moments(std::span<const double> counts);
// k from the share of zeros: k ln(1 + mean/k) = -ln(share). Error out_of_range when there are no
// zeros or when all are zero; k infinite when zeros are no more than Poisson's.
Result<NegativeBinomialFit> fit_negative_binomial_zeros(std::span<const double> counts);

// Log likelihood of counts under a mean >= 0 and 1/k >= 0.
double negative_binomial_log_likelihood(std::span<const double> counts, double mean,
                                        double inverse_k);

struct FitCell {
  std::int64_t low = 0;    // counts low … high fall here
  std::int64_t high = 0;   // the last cell is open: INT64_MAX
  double observed = 0;
  double expected = 0;
};

struct GoodnessOfFit {
  double chi_squared = 0;
  double df = 0;       // cells - 1 - fitted parameters; 0 means that it cannot be told
  double p_value = 1;
  std::vector<FitCell> cells;  // neighbours joined until each expects `expected_min`
};

// Pearson's chi-square of whole counts against a fit.
Result<GoodnessOfFit> goodness_of_fit(std::span<const double> counts,
                                      const NegativeBinomialFit& fit, double expected_min = 5);

}  // namespace nthtree::stats
