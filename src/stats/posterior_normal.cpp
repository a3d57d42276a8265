// SPDX-License-Identifier: Apache-2.0
#include "stats/posterior_normal.h"

#include <cmath>

#include "stats/quantiles.h"

namespace nthtree::stats {
namespace {

template <typename Cdf>
Shares split(const Interval& band, double centre, double scale, Cdf cdf) {
  NTHTREE_ASSERT(band.low <= band.high);
  Shares result;
  result.below = cdf((band.low - centre) / scale);
  result.above = cdf((centre - band.high) / scale);
  result.inside = std::fmax(0, 1 - result.below - result.above);
  return result;
}

}  // namespace

NormalBelief NormalBelief::about(double mean, double variance) {
  NTHTREE_ASSERT(std::isfinite(mean) && variance > 0);
  return {mean, 1 / variance};
}

double NormalBelief::variance() const { return precision > 0 ? 1 / precision : infinity; }

double NormalBelief::sd() const { return std::sqrt(variance()); }

NormalBelief observe(const NormalBelief& belief, double value, double variance) {
  return combine(belief, NormalBelief::about(value, variance));
}

NormalBelief combine(const NormalBelief& a, const NormalBelief& b) {
  const double precision = a.precision + b.precision;
  if (precision <= 0) return {a.mean, 0};
  return {a.mean + (b.mean - a.mean) * (b.precision / precision), precision};
}

NormalBelief loosen(const NormalBelief& belief, double variance) {
  NTHTREE_ASSERT(variance >= 0);
  if (belief.precision <= 0) return belief;
  return {belief.mean, 1 / (1 / belief.precision + variance)};
}

NormalBelief fade(const NormalBelief& belief, double kept) {
  NTHTREE_ASSERT(kept >= 0 && kept <= 1);
  return {belief.mean, belief.precision * kept};
}

Shares shares(const NormalBelief& belief, const Interval& band) {
  if (belief.precision <= 0) return {0.5, 0, 0.5};
  return split(band, belief.mean, belief.sd(), normal_cdf);
}

double chance_beyond(const NormalBelief& belief, double d) {
  NTHTREE_ASSERT(d >= 0);
  const Shares parts = shares(belief, {-d, d});
  return parts.below + parts.above;
}

Interval credible_interval(const NormalBelief& belief, double confidence) {
  NTHTREE_ASSERT(confidence > 0 && confidence < 1);
  if (belief.precision <= 0) return {-infinity, infinity};
  const double half = normal_quantile((1 + confidence) / 2) * belief.sd();
  return {belief.mean - half, belief.mean + half};
}

double chance_larger(const NormalBelief& a, const NormalBelief& b) {
  if (a.precision <= 0 || b.precision <= 0) return 0.5;
  return normal_cdf((a.mean - b.mean) / std::sqrt(a.variance() + b.variance()));
}

double NormalGammaBelief::scale() const {
  NTHTREE_ASSERT(proper());
  return std::sqrt(rate / (shape * weight));
}

double NormalGammaBelief::variance_mean() const {
  NTHTREE_ASSERT(proper());
  return rate / shape;
}

NormalGammaBelief NormalGammaBelief::about(double mean, double values, double sd,
                                           double values_sd) {
  NTHTREE_ASSERT(std::isfinite(mean) && values > 0 && sd > 0 && values_sd > 0);
  return {mean, values, values_sd / 2, values_sd / 2 * sd * sd};
}

NormalGammaBelief observe(const NormalGammaBelief& belief, double value) {
  NTHTREE_ASSERT(std::isfinite(value));
  const double weight = belief.weight + 1;
  const double apart = value - belief.centre;
  return {belief.centre + apart / weight, weight, belief.shape + 0.5,
          belief.rate + belief.weight * apart * apart / (2 * weight)};
}

NormalGammaBelief fade(const NormalGammaBelief& belief, double kept) {
  NTHTREE_ASSERT(kept >= 0 && kept <= 1);
  return {belief.centre, belief.weight * kept, belief.shape * kept, belief.rate * kept};
}

Shares shares(const NormalGammaBelief& belief, const Interval& band) {
  if (!belief.proper()) return {0.5, 0, 0.5};
  const double df = belief.df();
  return split(band, belief.centre, belief.scale(), [df](double t) { return t_cdf(t, df); });
}

Interval credible_interval(const NormalGammaBelief& belief, double confidence) {
  NTHTREE_ASSERT(confidence > 0 && confidence < 1);
  if (!belief.proper()) return {-infinity, infinity};
  const double half = t_quantile((1 + confidence) / 2, belief.df()) * belief.scale();
  return {belief.centre - half, belief.centre + half};
}

Shares shares_of_next(const NormalGammaBelief& belief, const Interval& band) {
  if (!belief.proper()) return {0.5, 0, 0.5};
  const double df = belief.df();
  const double scale = std::sqrt(belief.variance_mean() * (1 + 1 / belief.weight));
  return split(band, belief.centre, scale, [df](double t) { return t_cdf(t, df); });
}

}  // namespace nthtree::stats
