// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/boundary.h"

#include <algorithm>
#include <cmath>

#include "stats/quantiles.h"

namespace nthtree::advice {

namespace {

constexpr BoundaryCorrection over_b{1.5, 0.46, -0.3, 0.3}, under_b{2.0, 0.68, -0.5, 0.45};
constexpr BoundaryCorrection both_a{2.0, 0.48, -0.5, 0.0};
constexpr double over_kept_back = 0.18, under_kept_back = 0.06;

}  // namespace

double BoundaryCorrection::of(double step) const {
  return std::clamp(slope * (at - step), least, most);
}

Boundary boundary_for(BandSide side, double alpha, double beta, double step) {
  const bool is_over = side == BandSide::over;
  Boundary boundary;
  BoundaryTerms& terms = boundary.terms;
  terms.alpha = alpha;
  terms.beta = beta;
  terms.step = step;
  terms.more_b = is_over ? over_b : under_b;
  terms.more_a = both_a;
  terms.kept_back_a = is_over ? over_kept_back : under_kept_back;
  const double overshoot = terms.overshoot * std::min(step, terms.step_most);
  boundary.b = std::max(terms.least, std::log(1 / (terms.kept_for_line * alpha)) - overshoot +
                                         terms.more_b.of(step));
  boundary.a = std::max(terms.least, std::log((1 - alpha) / beta) - overshoot +
                                         terms.more_a.of(step) + terms.kept_back_a);
  boundary.z_early = stats::normal_quantile(1 - terms.early_share * alpha);
  boundary.step = step;
  return boundary;
}

double z_to_change(const Boundary& boundary, double s) {
  const double line = s / 2 + boundary.b / s;
  // The early line serves only before the lowest point of Wald's, or it would add errors for ever.
  if (s * s >= 2 * boundary.b) return line;
  const double growth = boundary.terms.early_growth;
  const double counts = std::max(1.0, s * s / (boundary.step * boundary.step));
  return std::min(line, std::sqrt(boundary.z_early * boundary.z_early +
                                  growth * std::log(counts)));
}

double z_to_clear(const Boundary& boundary, double s) { return s / 2 + boundary.a / s; }

}  // namespace nthtree::advice
