// SPDX-License-Identifier: Apache-2.0
#include "stats/digit_preference.h"

#include <algorithm>
#include <cmath>

#include "stats/quantiles.h"
#include "stats/summary.h"

namespace nthtree::stats {
namespace {

constexpr double spread_for_digits = 10;  // sd at which digit shares are equal within 2 %

std::optional<Error> check_whole(std::span<const double> values, const char* name) {
  for (double value : values) {
    if (value != std::floor(value)) return out_of_range(name, value, "a whole number");
  }
  return std::nullopt;
}

}  // namespace

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

Result<DigitPreference> digit_preference(std::span<const double> counts) {
  if (auto error = check_counts(counts, "counts", 5)) return *error;
  if (auto error = check_whole(counts, "counts")) return *error;
  DigitPreference result;
  result.n = counts.size();
  for (double count : counts) {
    result.digits[static_cast<std::size_t>(std::fmod(count, 10))] += 1;
  }
  const double rounded = result.digits[0] + result.digits[5];
  const double n = static_cast<double>(result.n);
  result.share_0_or_5 = rounded / n;
  for (double held : result.digits) {
    result.chi_squared += (held - n / 10) * (held - n / 10) / (n / 10);
  }
  result.spread_enough = summarize(counts)->sd >= spread_for_digits;
  if (result.spread_enough) {
    result.p_value = chi_squared_upper(result.chi_squared, 9);
    result.p_rounding =
        chance_of_so_many(static_cast<std::size_t>(rounded), result.n, round_ending_chance);
  }
  return result;
}

Result<SpreadTest> spread_test(std::span<const double> values, double expected_sd,
                               double expected_df) {
  if (auto error = check_values(values, "values", 2)) return *error;
  if (auto error = check_positive(expected_sd, "expected_sd")) return *error;
  if (!(expected_df > 0)) return out_of_range("expected_df", expected_df, "above 0");
  const auto summary = summarize(values);
  auto result = spread_test_of_variances(summary->variance, static_cast<double>(summary->n - 1),
                                         expected_sd * expected_sd, expected_df);
  if (!result) return result;
  result->n = summary->n;
  result->sd = summary->sd;
  return result;
}

Result<SpreadTest> spread_test_of_variances(double variance, double df, double expected_variance,
                                            double expected_df) {
  if (!(variance >= 0)) return out_of_range("variance", variance, "0 or above");
  if (auto error = check_positive(df, "df")) return *error;
  if (auto error = check_positive(expected_variance, "expected_variance")) return *error;
  if (!(expected_df > 0)) return out_of_range("expected_df", expected_df, "above 0");
  SpreadTest result;
  result.sd = std::sqrt(variance);
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

Result<MatchTest> match_test(std::span<const double> a, std::span<const double> b,
                             double error_sd) {
  if (auto error = check_values(a, "a", 1)) return *error;
  if (auto error = check_values(b, "b", 1)) return *error;
  if (a.size() != b.size()) {
    return out_of_range("b", static_cast<double>(b.size()), "as many values as a");
  }
  if (auto error = check_whole(a, "a")) return *error;
  if (auto error = check_whole(b, "b")) return *error;
  if (auto error = check_positive(error_sd, "error_sd")) return *error;
  MatchTest result;
  result.n = a.size();
  for (std::size_t i = 0; i < a.size(); ++i) result.matches += a[i] == b[i] ? 1 : 0;
  // A normal difference rounds to 0 when it lies within half a count.
  const double chance = 2 * normal_cdf(0.5 / error_sd) - 1;
  result.expected = chance * static_cast<double>(result.n);
  result.p_too_many = chance_of_so_many(result.matches, result.n, std::clamp(chance, 0.0, 1.0));
  return result;
}

}  // namespace nthtree::stats
