// SPDX-License-Identifier: Apache-2.0
#include "stats/digit_preference.h"

#include <cmath>

#include "stats/quantiles.h"

namespace nthtree::stats {
double chance_of_so_many(std::size_t hits, std::size_t n, double p) {
  if (hits == 0) return 1;
  if (hits > n) return 0;
  // P(X >= h) = P(Y <= n - h) with Y counting failures: no cancellation in the small tail.
  return binomial_cdf(static_cast<std::int64_t>(n - hits), static_cast<std::int64_t>(n), 1 - p);
}

bool so_many_is_rarer_than(double level, std::size_t hits, std::size_t n, double p) {
  if (p > 0 && p < 1 && hits <= n) {
    const double h = static_cast<double>(hits), of = static_cast<double>(n);
    const double ways = std::lgamma(of + 1) - std::lgamma(h + 1) - std::lgamma(of - h + 1);
    constexpr double rounding = 1e-9;  // of the logarithms; a close case is left to the sum
    const double first_term = ways + h * std::log(p) + (of - h) * std::log1p(-p);
    if (first_term > std::log(level) + rounding) return false;
  }
  return chance_of_so_many(hits, n, p) < level;
}

Result<SpreadTest> spread_test_of_variances(double variance, double df, double expected_variance,
                                            double expected_df) {
  if (!(variance >= 0)) return out_of_range("variance", variance, "0 or above");
  if (auto error = check_positive(df, "df")) return *error;
  if (auto error = check_positive(expected_variance, "expected_variance")) return *error;
  if (!(expected_df > 0)) return out_of_range("expected_df", expected_df, "above 0");
  SpreadTest result;
  result.ratio = variance / expected_variance;
  if (std::isinf(expected_df)) {
    result.p_too_little = chi_squared_cdf(result.ratio * df, df);
    result.p_too_much = chi_squared_upper(result.ratio * df, df);
  } else {
    result.p_too_little = f_cdf(result.ratio, df, expected_df);
    result.p_too_much = f_upper(result.ratio, df, expected_df);
  }
  return result;
}

}  // namespace nthtree::stats
