// SPDX-License-Identifier: Apache-2.0
#include "advice/review/cost.h"

#include <algorithm>
#include <cmath>

#include "advice/internal/current.h"
#include "advice/internal/day_parts.h"
#include "advice/internal/fruit_mass.h"
#include "orchard/crop.h"
#include "orchard/fruit_size.h"

namespace nthtree::advice {
namespace {

orchard::Estimate times(const orchard::Estimate& estimate, double factor) {
  return {estimate.value * factor, estimate.low * factor, estimate.high * factor};
}

struct PerSpur {  // one spur off on one tree
  double fruitlets = 0, hours = 0, thinning = 0, kg = 0, value = 0;
};

// A spur too many flowers with the floral fraction's chance and sets one fruitlet to thin; a spur
// too few costs 1 / insurance of a fruit, if it would have flowered.
PerSpur per_spur(const ledger::FarmSettings& farm, const ledger::BlockSeason& block,
                 const orchard::Target& target) {
  const orchard::TargetInput& input = block.block->target;
  PerSpur one;
  const double flowering = target.floral_fraction.value;
  one.fruitlets = flowering;
  if (farm.hand_thinning_fruitlets_per_hour > 0) {
    one.hours = one.fruitlets / farm.hand_thinning_fruitlets_per_hour;
  }
  one.thinning = one.hours * farm.wage_per_hour;
  const double fruits = input.insurance_factor > 0 ? flowering / input.insurance_factor : 0;
  one.kg = fruits * fruit_kg(input);
  one.value = one.kg * farm.fruit_price_per_kg;
  return one;
}

}  // namespace

double fruit_kg(const orchard::TargetInput& input) {
  constexpr double kg_default = 0.18;  // a middling apple, 106 to a 42 lb box
  if (!input.yield) return kg_default;
  const orchard::FruitSize& size = input.yield->fruit_size;
  if (size.grams && *size.grams > 0) return *size.grams / 1000;
  if (size.count_per_box && *size.count_per_box > 0) {
    return input.yield->box_kg / *size.count_per_box;
  }
  if (size.diameter_mm && *size.diameter_mm > 0) {
    return orchard::grams_from_diameter(*size.diameter_mm) / 1000;
  }
  return kg_default;
}

Cost cost_in(const BlockContext& context) {
  Cost cost;
  const Standing& block = context.standings().block_standing;
  if (!block.has_target || context.standings().pruners.empty()) return cost;
  cost.known = true;
  const auto& farm = context.season->farm();
  cost.has_rates = farm.wage_per_hour > 0 && farm.fruit_price_per_kg > 0;
  // The block's own mean, as acceptance has it: what is thinned is on the trees, whoever left it.
  const orchard::Estimate ratio = log_estimate(block.own.mean, std::min(block.own.sd, 1.0));
  const double target = block.target.value;
  const orchard::Estimate over{target * (ratio.value - 1), target * (ratio.low - 1),
                               target * (ratio.high - 1)};
  cost.excess_spurs_per_tree = {at_least_zero(over.value), at_least_zero(over.low),
                                at_least_zero(over.high)};
  cost.short_spurs_per_tree = {at_least_zero(-over.value), at_least_zero(-over.high),
                               at_least_zero(-over.low)};
  const double trees = static_cast<double>(context.planting().bearing());
  cost.kg_per_fruit = fruit_kg(context.block->block->target);
  const PerSpur one = per_spur(farm, *context.block, context.here->target);
  cost.fruitlets_to_thin = times(cost.excess_spurs_per_tree, one.fruitlets * trees);
  cost.thinning_hours = times(cost.excess_spurs_per_tree, one.hours * trees);
  cost.thinning_cost = times(cost.excess_spurs_per_tree, one.thinning * trees);
  cost.crop_lost_kg = times(cost.short_spurs_per_tree, one.kg * trees);
  cost.crop_lost_value = times(cost.short_spurs_per_tree, one.value * trees);
  cost.cost_per_spur_over = one.thinning * trees;
  cost.cost_per_spur_short = one.value * trees;
  if (cost.cost_per_spur_over > 0 && cost.cost_per_spur_short > 0) {
    cost.cost_ratio = std::clamp(one.thinning / one.value, 0.05, 20.0);
  }
  return cost;
}

Cost cost_of(const ledger::Season& season, const std::string& block, std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found) return {};
  return cost_in(make_context(season, *found, now_ms, cut_for(season, now_ms)));
}

}  // namespace nthtree::advice
