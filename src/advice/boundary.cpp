// SPDX-License-Identifier: Apache-2.0
#include "advice/boundary.h"

#include <algorithm>
#include <cmath>

#include "stats/quantiles.h"

namespace nthtree::advice {

Boundary boundary_for(double alpha, double beta) {
  // Steps are whole counts, so the line is overshot, by about 0.58 standard deviations of a step
  // (D. Siegmund, Sequential Analysis, 1985, ch. 10); at the usual spread that is 0.3 of the
  // height, which the line gives back. A fifth of alpha is kept for the early line.
  constexpr double overshoot = 0.30;
  Boundary boundary;
  boundary.b = std::log(1 / (0.8 * alpha)) - overshoot;
  boundary.a = std::max(0.5, std::log((1 - alpha) / beta) - overshoot);
  boundary.z_early = stats::normal_quantile(1 - 0.07 * alpha);
  return boundary;
}

double z_to_change(const Boundary& boundary, double s) {
  const double line = s / 2 + boundary.b / s;
  // The flat line serves only before the lowest point of Wald's, or it would add errors for ever.
  return s * s < 2 * boundary.b ? std::min(line, boundary.z_early) : line;
}

double z_to_clear(const Boundary& boundary, double s) { return s / 2 + boundary.a / s; }

}  // namespace nthtree::advice
