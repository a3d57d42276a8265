// SPDX-License-Identifier: Apache-2.0
#include "advice/boundary.h"

#include <algorithm>
#include <cmath>

#include "stats/quantiles.h"

namespace nthtree::advice {

Boundary boundary_for(double alpha, double beta, double step) {
  // A sixth of alpha is kept for the early line.
  constexpr double kept_for_line = 0.83;
  const double overshoot = 0.583 * std::min(step, 1.2);
  Boundary boundary;
  boundary.b = std::max(0.5, std::log(1 / (kept_for_line * alpha)) - overshoot);
  // A little more than Wald's, because a day's later looks tell too: measured, not derived.
  constexpr double kept_back = 0.04;
  boundary.a = std::max(0.5, std::log((1 - alpha) / beta) - overshoot + kept_back);
  boundary.z_early = stats::normal_quantile(1 - 0.13 * alpha);
  boundary.step = step;
  return boundary;
}

double z_to_change(const Boundary& boundary, double s) {
  const double line = s / 2 + boundary.b / s;
  // The early line serves only before the lowest point of Wald's, or it would add errors for ever.
  if (s * s >= 2 * boundary.b) return line;
  constexpr double growth = 1.2;
  const double counts = std::max(1.0, s * s / (boundary.step * boundary.step));
  return std::min(line, std::sqrt(boundary.z_early * boundary.z_early +
                                  growth * std::log(counts)));
}

double z_to_clear(const Boundary& boundary, double s) { return s / 2 + boundary.a / s; }

}  // namespace nthtree::advice
