// SPDX-License-Identifier: Apache-2.0
#include "stats/double_sampling.h"

#include <algorithm>
#include <cmath>

#include "stats/quantiles.h"
#include "stats/ratio_estimator.h"
#include "stats/summary.h"

namespace nthtree::stats {
namespace {

std::optional<Error> check(const PairMoments& m, const FirstPhase& first, double confidence,
                           double population) {
  if (auto error = check_confidence(confidence)) return error;
  if (!std::isfinite(first.mean)) return not_finite("first.mean", 0);
  if (!(first.variance >= 0) || std::isinf(first.variance)) {
    return out_of_range("first.variance", first.variance, "zero or more");
  }
  if (static_cast<double>(first.n) < m.n) {
    return out_of_range("first.n", static_cast<double>(first.n), "the number of pairs or more");
  }
  if (!(population >= static_cast<double>(first.n))) {
    return out_of_range("population", population, "the first sample's size or more");
  }
  return std::nullopt;
}

// What x carries of the variance of y, by the estimator's slope and the regression of y on x.
double explained_by_first(const PairMoments& m, const FirstPhase& first, double slope,
                          double residual) {
  const double s2_y = m.yy / (m.n - 1);
  if (!(first.variance > 0) || !(m.xx > 0)) return std::fmax(0, s2_y - residual);
  // A ratio worse than no ratio at all would make this negative.
  return std::fmax(0, (2 * slope * m.xy / m.xx - slope * slope) * first.variance);
}

double satterthwaite(double second, double df_second, double first, double df_first) {
  if (!(second + first > 0)) return df_second;
  const double share = second / (second + first);
  return 1 / (share * share / df_second + (1 - share) * (1 - share) / df_first);
}

// On the logarithm where all is positive: counts are skewed, and a plain interval missed their
// mean twice as often from below as from above.
Interval interval_of(double mean, double standard_error, double t, bool positive) {
  if (!positive || !(mean > 0)) return {mean - t * standard_error, mean + t * standard_error};
  const double factor = std::exp(t * standard_error / mean);
  return {mean / factor, mean * factor};
}

// residual: variance of y left by x; leverage: what the slope's own error adds, in units of it.
TwoPhaseEstimate finish(const PairMoments& m, const FirstPhase& first, double slope,
                        double residual, double df, double leverage, double confidence,
                        double population) {
  TwoPhaseEstimate result;
  result.n = static_cast<std::size_t>(m.n);
  result.n_first = first.n;
  result.slope = slope;
  const double n_first = static_cast<double>(first.n);
  const double s2_y = m.yy / (m.n - 1);
  const double correction = std::isinf(population) ? 0 : s2_y / population;
  const bool known_first = first.variance > 0;
  result.variance_second =
      std::fmax(0, residual) * (1 / m.n + (known_first ? leverage : 0));
  result.variance_first = explained_by_first(m, first, slope, residual) / n_first;
  result.df = known_first ? satterthwaite(result.variance_second, df, result.variance_first,
                                          n_first - 1)
                          : df;
  const double variance =
      std::fmax(0, result.variance_second + result.variance_first - correction);
  result.standard_error = std::sqrt(variance);
  const double plain = s2_y / m.n - correction;
  result.gain = variance > 0 ? std::fmax(0, plain) / variance : 1;
  if (m.yy > 0 && m.xx > 0) result.correlation = m.xy / std::sqrt(m.xx * m.yy);
  result.mean = m.y_mean + slope * (first.mean - m.x_mean);
  result.interval = interval_of(result.mean, result.standard_error,
                                t_quantile((1 + confidence) / 2, result.df), m.y_min >= 0);
  return result;
}

Result<FirstPhase> reduce(std::span<const double> x_first) {
  if (auto error = check_values(x_first, "x_first", 2)) return *error;
  const auto summary = summarize(x_first);
  return FirstPhase{x_first.size(), summary->mean, summary->variance};
}

}  // namespace

Result<TwoPhaseEstimate> two_phase_ratio(std::span<const double> y, std::span<const double> x,
                                         const FirstPhase& first, double confidence,
                                         double population) {
  auto m = pair_moments(y, x, 2);
  if (!m) return m.error();
  if (auto error = check(*m, first, confidence, population)) return *error;
  if (m->x_mean == 0) return out_of_range("x", 0, "values with a sum other than 0");
  const double ratio = m->y_mean / m->x_mean;
  const double residual =
      (m->yy - 2 * ratio * m->xy + ratio * ratio * m->xx) / (m->n - 1);
  return finish(*m, first, ratio, residual, m->n - 1, 0, confidence, population);
}

Result<TwoPhaseEstimate> two_phase_regression(std::span<const double> y,
                                              std::span<const double> x, const FirstPhase& first,
                                              double confidence, double population) {
  auto m = pair_moments(y, x, 3);
  if (!m) return m.error();
  if (auto error = check(*m, first, confidence, population)) return *error;
  if (!(m->xx > 0)) return out_of_range("x", m->x_mean, "values that are not all alike");
  const double slope = m->xy / m->xx;
  const double residual = (m->yy - slope * m->xy) / (m->n - 2);
  const double apart = first.mean - m->x_mean;
  return finish(*m, first, slope, residual, m->n - 2, apart * apart / m->xx, confidence,
                population);
}

Result<TwoPhaseEstimate> two_phase_ratio(std::span<const double> y, std::span<const double> x,
                                         std::span<const double> x_first, double confidence,
                                         double population) {
  auto first = reduce(x_first);
  if (!first) return first.error();
  return two_phase_ratio(y, x, *first, confidence, population);
}

Result<TwoPhaseEstimate> two_phase_regression(std::span<const double> y,
                                              std::span<const double> x,
                                              std::span<const double> x_first, double confidence,
                                              double population) {
  auto first = reduce(x_first);
  if (!first) return first.error();
  return two_phase_regression(y, x, *first, confidence, population);
}

Result<double> two_phase_cost_threshold(double correlation) {
  const double rho2 = correlation * correlation;
  if (!(rho2 > 0 && rho2 <= 1)) {
    return out_of_range("correlation", correlation, "from -1 to 1, not 0");
  }
  const double root = 1 + std::sqrt(1 - rho2);
  return root * root / rho2;
}

}  // namespace nthtree::stats
