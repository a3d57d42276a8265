// SPDX-License-Identifier: Apache-2.0
#include "screens/set_up/consequences.h"

#include <algorithm>

#include "orchard/crop.h"
#include "screens/parts/entries.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

using orchard::Block;

// What an unpruned tree carries against the target as it is being typed: how far over, what comes
// off, and the thinning by hand that pruning saves.
void unpruned_facts(Frame& frame, const Block& block, const orchard::Target& target,
                    double unpruned) {
  const double leave = target.spurs_to_leave_per_tree.value;
  const double take = std::max(0.0, unpruned - leave);
  fact(frame.ui, tr("edit.over"),
       tr("edit.over_n", {{"n", of_100(orchard::share_over_target(unpruned, leave))}}));
  fact(frame.ui, tr("edit.take"), whole(take));
  fact(frame.ui, tr("edit.limbs_take"),
       tr("edit.limbs_n", {{"n", whole(orchard::limbs_that_carry(
                                        take, unpruned, std::max(1, block.limbs_per_tree)))},
                           {"all", whole(block.limbs_per_tree)}}));
  const double fruitlets = orchard::fruitlets_to_thin(
      unpruned * target.floral_fraction.value, 1, target.fruits_per_tree);
  fact(frame.ui, tr("edit.thin"), tr("edit.thin_n", {{"n", whole(fruitlets)}}));
  const ledger::FarmSettings& farm = frame.season.farm();
  const double hours = orchard::thinning_hours(
      fruitlets, static_cast<double>(planting_now(frame, block).bearing()),
      farm.hand_thinning_fruitlets_per_hour);
  fact(frame.ui, tr("edit.thin_hours"), whole(hours));
  if (farm.wage_per_hour > 0) {
    fact(frame.ui, tr("edit.thin_cost"), whole(hours * farm.wage_per_hour));
  }
}

void consequence_facts(Frame& frame, const Block& block, const orchard::Target& target) {
  const bool us = frame.us_units();
  big_number(frame.ui, whole(target.spurs_to_leave_per_tree.value), tr("edit.leave"));
  fact(frame.ui, tr("edit.fruits_out"), whole(target.fruits_per_tree));
  fact(frame.ui, tr("edit.flowering"), whole(target.flowering_spurs_per_tree));
  fact(frame.ui, tr("edit.per_area", {{"area", us ? tr("edit.acre") : tr("edit.hectare")}}),
       whole(us ? target.trees_per_acre : target.trees_per_ha));
  fact(frame.ui, tr("edit.seeds"), whole(target.seeds_per_tree_at_bloom));
  const orchard::YearPair years = orchard::on_and_off_year(target.flowering_spurs_per_tree);
  const advice::Consequences& what = frame.cache.consequences(frame.season, block.id);
  const bool counted = what.known && what.before_trees > 0;
  const double unpruned = what.unpruned_spurs.value;
  const auto year = [&](const char* key, double leave) {
    const std::string n = whole(leave);
    fact(frame.ui, tr(key),
         counted ? tr("edit.take_years",
                      {{"n", n}, {"take", whole(std::max(0.0, unpruned - leave))}})
                 : tr("edit.leave_n", {{"n", n}}));
  };
  year("edit.on_year", years.on_spurs_to_leave);
  year("edit.off_year", years.off_spurs_to_leave);
  if (counted) unpruned_facts(frame, block, target, unpruned);
}

// Of the buds cut open in that block; empty where there are none.
std::optional<orchard::Estimate> floral_cut(Frame& frame, const std::string& id) {
  const ledger::BlockSeason* known = frame.season.block(id);
  if (!known || !has_current(known->bud_samples)) return std::nullopt;
  const advice::FloralFraction& cut = frame.cache.floral(frame.season, id);
  if (!cut.known) return std::nullopt;
  return cut.fraction;
}

}  // namespace

advice::Planting planting_now(Frame& frame, const Block& block) {
  const ledger::BlockSeason* known = frame.season.block(block.id);
  if (!known) return advice::Planting(block);
  return advice::planting_of(block, known->tree_states, frame.now_ms());
}

std::optional<orchard::Target> target_now(Frame& frame, const Block& block) {
  const auto target = orchard::work_out_target(
      block.target, planting_now(frame, block).spacing(), floral_cut(frame, block.id));
  return target ? std::optional<orchard::Target>(*target) : std::nullopt;
}

void consequences(Frame& frame, const Block& block, const std::optional<orchard::Target>& target) {
  heading(frame.ui, tr("edit.consequences"));
  if (const auto cut = floral_cut(frame, block.id)) {
    small_print(frame.ui, tr("edit.floral_cut", {{"n", of_100(cut->value)}}));
  }
  if (target) {
    consequence_facts(frame, block, *target);
  } else {
    small_print(frame.ui, tr("edit.incomplete"));
  }
}

}  // namespace nthtree::screens
