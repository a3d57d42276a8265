// SPDX-License-Identifier: Apache-2.0
#include "stats/allocation.h"

#include <algorithm>
#include <cmath>

namespace nthtree::stats {
namespace {

constexpr int units_most = 1000;

std::optional<Error> check(const ShareCosts& costs, const ShareSpread& spread) {
  if (auto error = check_positive(costs.budget, "budget")) return error;
  if (auto error = check_positive(costs.unit, "unit")) return error;
  if (auto error = check_positive(costs.part, "part")) return error;
  if (auto error = check_positive(costs.whole, "whole")) return error;
  if (auto error = check_positive(spread.between, "between")) return error;
  if (!(costs.look >= 0)) return out_of_range("look", costs.look, "zero or more");
  if (!(spread.parts >= 0)) return out_of_range("parts", spread.parts, "zero or more");
  if (spread.parts_in_unit < 1) {
    return out_of_range("parts_in_unit", spread.parts_in_unit, "1 or more");
  }
  if (!(std::fabs(spread.correlation) < 1)) {
    return out_of_range("correlation", spread.correlation, "above -1 and below 1");
  }
  return std::nullopt;
}

double cost_of_unit(const ShareCosts& costs, const ShareSpread& spread, int parts) {
  return parts >= spread.parts_in_unit ? costs.whole : costs.unit + parts * costs.part;
}

Share without_looks(const ShareCosts& costs, const ShareSpread& spread, int units, int parts) {
  Share share{.units = units, .parts = parts};
  share.cost = units * cost_of_unit(costs, spread, parts);
  share.variance = variance_of(share, spread);
  return share;
}

// What is left of the budget is spent on looks, where they are enough to tell anything.
Share with_looks(const ShareCosts& costs, const ShareSpread& spread, int units, int parts) {
  Share share = without_looks(costs, spread, units, parts);
  if (costs.look <= 0 || spread.correlation == 0) return share;
  const int looks = static_cast<int>((costs.budget - share.cost) / costs.look);
  if (looks <= units) return share;
  Share seen = share;
  seen.looks = looks;
  seen.cost += looks * costs.look;
  seen.variance = variance_of(seen, spread);
  return seen.variance < share.variance ? seen : share;
}

}  // namespace

Result<double> parts_at_optimum(double between, double within, double cost_unit,
                                double cost_part) {
  if (auto error = check_positive(between, "between")) return *error;
  if (auto error = check_positive(within, "within")) return *error;
  if (auto error = check_positive(cost_unit, "cost_unit")) return *error;
  if (auto error = check_positive(cost_part, "cost_part")) return *error;
  return std::sqrt(within / between * cost_unit / cost_part);
}

Result<double> units_of_budget(double budget, double parts, double cost_unit, double cost_part) {
  if (auto error = check_positive(budget, "budget")) return *error;
  if (auto error = check_positive(parts, "parts")) return *error;
  if (auto error = check_positive(cost_unit, "cost_unit")) return *error;
  if (auto error = check_positive(cost_part, "cost_part")) return *error;
  return budget / (cost_unit + parts * cost_part);
}

double variance_of(const Share& share, const ShareSpread& spread) {
  if (share.units < 1 || share.parts < 1) return infinity;
  const double all = spread.parts_in_unit, k = std::min<double>(share.parts, all);
  const double inside = spread.parts * spread.step_factor * (1 / k - 1 / all);
  const double rho2 = share.looks > share.units ? spread.correlation * spread.correlation : 0;
  const double seen = rho2 > 0 ? rho2 * spread.between / share.looks : 0;
  return (spread.between * (1 - rho2) + inside) / share.units + seen;
}

Result<Share> share_out(const ShareCosts& costs, const ShareSpread& spread, int at_least) {
  if (auto error = check(costs, spread)) return *error;
  if (at_least < 1) return out_of_range("at_least", at_least, "1 or more");
  Share best, cheapest;
  cheapest.cost = infinity;
  for (int parts = 1; parts <= spread.parts_in_unit; ++parts) {
    for (int units = at_least; units <= units_most; ++units) {
      const Share plain = without_looks(costs, spread, units, parts);
      if (plain.cost < cheapest.cost) cheapest = plain;
      if (plain.cost > costs.budget) break;
      const Share share = with_looks(costs, spread, units, parts);
      if (share.variance < best.variance) best = share;
    }
  }
  return best.units > 0 ? best : cheapest;
}

}  // namespace nthtree::stats
