// SPDX-License-Identifier: Apache-2.0
#include "stats/posterior_normal.h"

#include <cmath>

namespace nthtree::stats {

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

}  // namespace nthtree::stats
