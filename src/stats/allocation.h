// SPDX-License-Identifier: Apache-2.0
//
// How to share out a budget between units, parts of each, and cheap looks: the optimum of two-stage
// and of double sampling, and both together in whole numbers.
//
// With between-unit variance B, variance W between the L parts of a unit (of a part's value as a
// share of the parts' mean, so that all are relative), n units counted in k parts, n' units looked
// at and a look that correlates by ρ with the truth:
//     V = (B (1 - ρ²) + W φ (1/k - 1/L)) / n + ρ² B / n'
// φ is what an even step leaves of random parts' variance. Sources: Cochran, Sampling Techniques,
// 3rd ed. 1977, sec. 10.6 and 12.7 (from memory); D. Brus, Spatial Sampling with R, eq. 7.10, 7.11,
// 11.6, 11.7 (read). Units and parts are fixed before: a plan that stops when the time is up drops
// the large units.
//
//   auto plan = share_out({.budget = 600, .unit = 50, .part = 15, .whole = 305, .look = 5},
//                         {.between = 0.0625, .parts = 0.2025, .parts_in_unit = 20});
#pragma once

#include "stats/interval.h"

namespace nthtree::stats {

// Parts a unit at least cost, not rounded: (S_w / S_b) √(c_unit / c_part). between, costs > 0;
// for L parts give between less W/L (Cochran sec. 10.6). within > 0.
Result<double> parts_at_optimum(double between, double within, double cost_unit, double cost_part);
// Units that a budget pays at that many parts each: budget / (c_unit + parts c_part).
Result<double> units_of_budget(double budget, double parts, double cost_unit, double cost_part);

struct ShareCosts {     // in one unit, seconds
  double budget = 0;
  double unit = 0;      // to come to a unit and set up a count of parts
  double part = 0;      // to count one more part
  double whole = 0;     // to come to a unit and count all of it
  double look = 0;      // one look; 0: no looks
};
struct ShareSpread {
  double between = 0;     // B, relative
  double parts = 0;       // W, relative
  int parts_in_unit = 1;  // L
  double step_factor = 1; // φ
  double correlation = 0; // ρ of looks, 0: none
};
struct Share {
  int units = 0, parts = 0, looks = 0;  // parts = L: whole units; looks include the units counted
  double cost = 0;
  double variance = infinity;
};
// V of a share by the formula above; infinite without a unit.
double variance_of(const Share& share, const ShareSpread& spread);
// The best share in whole numbers; `at_least` units at the fewest (calibration, and a spread to
// learn from). Where even that costs more than the budget, the cheapest such share is given, and
// cost is above budget. Errors: out_of_range.
Result<Share> share_out(const ShareCosts& costs, const ShareSpread& spread, int at_least = 1);

}  // namespace nthtree::stats
