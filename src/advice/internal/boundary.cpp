// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/boundary.h"

#include <algorithm>
#include <cmath>

#include "stats/quantiles.h"

namespace nthtree::advice {

namespace {

// Measured, not derived (METHODS.md): trees that differ much, whose steps are short, have their
// spread guessed too small at first and are told too soon; even trees the other way round.
struct Correction {
  double slope, at, least, most;
  double of(double step) const { return std::clamp(slope * (at - step), least, most); }
};
constexpr Correction over_b{1.5, 0.46, -0.3, 0.3}, under_b{2.0, 0.68, -0.5, 0.45};
constexpr Correction both_a{2.0, 0.48, -0.5, 0.0};
constexpr double over_kept_back = 0.18, under_kept_back = 0.06;

}  // namespace

Boundary boundary_for(BandSide side, double alpha, double beta, double step) {
  // A sixth of alpha is kept for the early line.
  constexpr double kept_for_line = 0.83;
  const bool is_over = side == BandSide::over;
  const double overshoot = 0.583 * std::min(step, 1.2);
  const double more_b = (is_over ? over_b : under_b).of(step);
  const double more_a = both_a.of(step) + (is_over ? over_kept_back : under_kept_back);
  Boundary boundary;
  boundary.b = std::max(0.5, std::log(1 / (kept_for_line * alpha)) - overshoot + more_b);
  boundary.a = std::max(0.5, std::log((1 - alpha) / beta) - overshoot + more_a);
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
