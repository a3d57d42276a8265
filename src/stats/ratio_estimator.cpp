// SPDX-License-Identifier: Apache-2.0
#include "stats/ratio_estimator.h"

#include <cmath>

#include "stats/quantiles.h"
#include "stats/summary.h"
#include "stats/systematic.h"

namespace nthtree::stats {
namespace {

std::optional<Error> check(double n, double x_mean, const EstimatorOptions& options) {
  if (!std::isfinite(x_mean)) return not_finite("x_mean", 0);
  if (!(options.population >= n)) {
    return out_of_range("population", options.population, "the sample size or more");
  }
  return check_confidence(options.confidence);
}

CompanionEstimate finish(const PairMoments& m, double mean, double slope, double residual_squares,
                         double divisor, double factor, const EstimatorOptions& options) {
  CompanionEstimate result;
  result.n = static_cast<std::size_t>(m.n);
  result.mean = mean;
  result.slope = slope;
  result.df = divisor;
  // Rounding can leave a perfect fit a hair below zero.
  result.residual_variance = std::fmax(0, residual_squares) / divisor;
  result.standard_error =
      factor * std::sqrt(finite_population_correction(m.n, options.population) *
                         result.residual_variance / m.n);
  const double half =
      t_quantile((1 + options.confidence) / 2, divisor) * result.standard_error;
  result.interval = {mean - half, mean + half};
  if (std::isfinite(options.population)) {
    result.total = mean * options.population;
    result.total_standard_error = result.standard_error * options.population;
  }
  if (m.yy > 0 && m.xx > 0) result.correlation = m.xy / std::sqrt(m.xx * m.yy);
  return result;
}

}  // namespace

Result<PairMoments> pair_moments(std::span<const double> y, std::span<const double> x,
                                 std::size_t wanted) {
  if (auto error = check_values(y, "y", wanted)) return *error;
  if (auto error = check_values(x, "x", wanted)) return *error;
  if (x.size() != y.size()) {
    return out_of_range("x", static_cast<double>(x.size()), "as many values as y");
  }
  PairMoments m;
  m.n = static_cast<double>(y.size());
  const auto y_summary = summarize(y);
  m.y_mean = y_summary->mean;
  m.y_min = y_summary->min;
  m.x_mean = summarize(x)->mean;
  for (std::size_t i = 0; i < y.size(); ++i) {
    const double dy = y[i] - m.y_mean;
    const double dx = x[i] - m.x_mean;
    m.yy += dy * dy;
    m.xx += dx * dx;
    m.xy += dx * dy;
  }
  return m;
}

Result<CompanionEstimate> ratio_estimate(std::span<const double> y, std::span<const double> x,
                                         double x_mean, const EstimatorOptions& options) {
  auto m = pair_moments(y, x, 2);
  if (!m) return m.error();
  if (auto error = check(m->n, x_mean, options)) return *error;
  if (m->x_mean == 0) return out_of_range("x", 0, "values with a sum other than 0");
  const double ratio = m->y_mean / m->x_mean;
  double squares = 0;
  for (std::size_t i = 0; i < y.size(); ++i) {
    squares += (y[i] - ratio * x[i]) * (y[i] - ratio * x[i]);
  }
  const double factor = options.scale_by_x ? std::fabs(x_mean / m->x_mean) : 1;
  return finish(*m, ratio * x_mean, ratio, squares, m->n - 1, factor, options);
}

Result<CompanionEstimate> regression_estimate(std::span<const double> y,
                                              std::span<const double> x, double x_mean,
                                              const EstimatorOptions& options) {
  auto m = pair_moments(y, x, 3);
  if (!m) return m.error();
  if (auto error = check(m->n, x_mean, options)) return *error;
  if (!(m->xx > 0)) return out_of_range("x", m->x_mean, "values that are not all alike");
  const double slope = m->xy / m->xx;
  const double divisor =
      options.divisor == ResidualDivisor::n_minus_1 ? m->n - 1 : m->n - 2;
  auto result = finish(*m, m->y_mean + slope * (x_mean - m->x_mean), slope,
                       m->yy - slope * m->xy, divisor, 1, options);
  result.intercept = m->y_mean - slope * m->x_mean;
  return result;
}

}  // namespace nthtree::stats
