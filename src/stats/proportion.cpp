// SPDX-License-Identifier: Apache-2.0
#include "stats/proportion.h"

#include <algorithm>
#include <cmath>

#include "stats/quantiles.h"

namespace nthtree::stats {
namespace {

Interval wilson(double x, double n, double z) {
  const double p = x / n;
  const double centre = (x + z * z / 2) / (n + z * z);
  const double half = z * std::sqrt(n) / (n + z * z) * std::sqrt(p * (1 - p) + z * z / (4 * n));
  return {x <= 0 ? 0 : std::max(0.0, centre - half), x >= n ? 1 : std::min(1.0, centre + half)};
}

// Newcombe's method 4. The limits are 0 and 1 by definition when x is 0 or n.
Interval wilson_continuity(double x, double n, double z) {
  const double p = x / n;
  const double q = 1 - p;
  const double divisor = 2 * (n + z * z);
  const double low_root = z * z - 2 - 1 / n + 4 * p * (n * q + 1);
  const double high_root = z * z + 2 - 1 / n + 4 * p * (n * q - 1);
  const double low = (2 * x + z * z - 1 - z * std::sqrt(std::max(0.0, low_root))) / divisor;
  const double high = (2 * x + z * z + 1 + z * std::sqrt(std::max(0.0, high_root))) / divisor;
  return {x <= 0 ? 0 : std::max(0.0, low), x >= n ? 1 : std::min(1.0, high)};
}

Interval clopper_pearson(double x, double n, double tail) {
  return {x <= 0 ? 0 : beta_quantile(tail, x, n - x + 1),
          x >= n ? 1 : beta_quantile(1 - tail, x + 1, n - x)};
}

Interval jeffreys(double x, double n, double tail) {
  return {x <= 0 ? 0 : beta_quantile(tail, x + 0.5, n - x + 0.5),
          x >= n ? 1 : beta_quantile(1 - tail, x + 0.5, n - x + 0.5)};
}

Interval agresti_coull(double x, double n, double z) {
  const double adjusted_n = n + z * z;
  const double p = (x + z * z / 2) / adjusted_n;
  const double half = z * std::sqrt(p * (1 - p) / adjusted_n);
  return {p - half, p + half};
}

// `tail` is the chance left outside at each end.
Interval interval_for(ProportionMethod method, double x, double n, double tail) {
  const double z = normal_quantile(1 - tail);
  // Fractions of a millionth are rounding of an effective size, not successes.
  if (x < 1e-6) x = 0;
  if (n - x < 1e-6) x = n;
  switch (method) {
    case ProportionMethod::wilson: return wilson(x, n, z);
    case ProportionMethod::wilson_continuity: return wilson_continuity(x, n, z);
    case ProportionMethod::clopper_pearson: return clopper_pearson(x, n, tail);
    case ProportionMethod::jeffreys: return jeffreys(x, n, tail);
    case ProportionMethod::agresti_coull: return agresti_coull(x, n, z);
  }
  return {0, 1};
}

// Outside these no count of trials can be meant, and Boost's inverse beta is at home inside them.
constexpr double trials_min = 1e-6;
constexpr double trials_max = 1e9;

std::optional<Error> check(double successes, double trials, double confidence) {
  if (!(trials >= trials_min && trials <= trials_max)) {
    return out_of_range("trials", trials, "above 0, at most 1e9");
  }
  if (!(successes >= 0 && successes <= trials)) {
    return out_of_range("successes", successes, "from 0 to trials");
  }
  return check_confidence(confidence);
}

}  // namespace

Result<Interval> proportion_interval(ProportionMethod method, double successes, double trials,
                                     double confidence) {
  if (auto error = check(successes, trials, confidence)) return *error;
  return interval_for(method, successes, trials, (1 - confidence) / 2);
}

Result<double> proportion_lower_limit(ProportionMethod method, double successes, double trials,
                                      double confidence) {
  if (auto error = check(successes, trials, confidence)) return *error;
  return interval_for(method, successes, trials, 1 - confidence).low;
}

Result<Interval> proportion_interval_effective(ProportionMethod method, double proportion,
                                               double n_effective, double df,
                                               double confidence) {
  if (!(proportion >= 0 && proportion <= 1)) {
    return out_of_range("proportion", proportion, "from 0 to 1");
  }
  if (!(n_effective >= trials_min && n_effective <= trials_max)) {
    return out_of_range("n_effective", n_effective, "above 0, at most 1e9");
  }
  if (!(df > 0)) return out_of_range("df", df, "above 0");
  if (auto error = check_confidence(confidence)) return *error;
  const double level = (1 + confidence) / 2;
  const double shrink = normal_quantile(level) / t_quantile(level, df);
  const double n = n_effective * shrink * shrink;
  return interval_for(method, proportion * n, n, 1 - level);
}

}  // namespace nthtree::stats
