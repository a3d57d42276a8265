// SPDX-License-Identifier: Apache-2.0
#include "advice/review/consequences.h"

#include <algorithm>

#include "advice/known/block_target.h"
#include "advice/known/planting.h"
#include "advice/internal/current.h"
#include "advice/internal/unpruned.h"
#include "orchard/crop.h"

namespace nthtree::advice {
namespace {

constexpr double fruitlets_per_spur = 1;  // NIAB: of 5-6 flowers one in six sets

YearCase year_case(double fraction, double spurs_to_leave, const Unpruned& unpruned) {
  YearCase year;
  year.floral_fraction = fraction;
  year.spurs_to_leave = spurs_to_leave;
  if (unpruned.trees > 0) year.spurs_to_take = at_least_zero(unpruned.spurs.value - spurs_to_leave);
  return year;
}

void if_nothing_were_pruned(const ledger::FarmSettings& farm, const ledger::BlockSeason& season,
                            const orchard::Target& target, const Unpruned& unpruned,
                            Consequences& what) {
  const double flowering = unpruned.spurs.value * target.floral_fraction.value;
  what.seeds_per_tree_unpruned = orchard::seeds_at_bloom(
      flowering, season.block->target.flowers_per_spur, season.block->target.seeds_per_fruit);
  what.fruitlets_to_thin_per_tree =
      orchard::fruitlets_to_thin(flowering, fruitlets_per_spur, target.fruits_per_tree);
  const double rate = farm.hand_thinning_fruitlets_per_hour;
  if (rate <= 0) return;
  const double fruitlets = what.fruitlets_to_thin_per_tree;
  what.thinning_hours_per_ha = orchard::thinning_hours(fruitlets, target.trees_per_ha, rate);
  what.thinning_hours_block =
      orchard::thinning_hours(fruitlets, static_cast<double>(planting_of(season, always).bearing()),
                              rate);
  what.thinning_cost_block = what.thinning_hours_block * farm.wage_per_hour;
}

}  // namespace

Consequences consequences(const ledger::Season& season, const std::string& block) {
  Consequences what;
  const ledger::BlockSeason* found = season.block(block);
  if (!found) return what;
  const auto target = block_target(*found);
  if (!target) return what;
  what.known = true;
  const orchard::Target& t = target->target;
  what.seeds_per_tree_at_bloom = t.seeds_per_tree_at_bloom;
  const Unpruned unpruned = unpruned_trees(*found, always);
  what.before_trees = unpruned.trees;
  what.unpruned_spurs = unpruned.spurs;
  what.before_counts = unpruned.counts;
  what.before_sd = unpruned.sd;
  const auto years = orchard::on_and_off_year(t.flowering_spurs_per_tree);
  what.on_year = year_case(years.on_floral_fraction, years.on_spurs_to_leave, unpruned);
  what.off_year = year_case(years.off_floral_fraction, years.off_spurs_to_leave, unpruned);
  if (unpruned.trees == 0) return what;
  const orchard::Estimate& leave = t.spurs_to_leave_per_tree;
  what.spurs_to_take = {at_least_zero(unpruned.spurs.value - leave.value),
                        at_least_zero(unpruned.spurs.low - leave.high),
                        at_least_zero(unpruned.spurs.high - leave.low)};
  if (leave.value > 0) {
    what.over_fraction_unpruned = orchard::share_over_target(unpruned.spurs.value, leave.value);
  }
  what.limbs_worth_to_take = orchard::limbs_that_carry(
      what.spurs_to_take.value, unpruned.spurs.value, std::max(1, found->block->limbs_per_tree));
  if_nothing_were_pruned(season.farm(), *found, t, unpruned, what);
  return what;
}

}  // namespace nthtree::advice
