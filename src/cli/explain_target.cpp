// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <utility>
#include <vector>

#include "advice/review/consequences.h"
#include "base/text.h"
#include "cli/explain_steps.h"
#include "orchard/fruit_size.h"
#include "orchard/units.h"

namespace nthtree::cli {
namespace {

void explain_yield(const orchard::YieldGoal& goal, double trees_per_ha, double fruits,
                   Worksheet& sheet) {
  const double kg = orchard::kg_of_unit(goal);
  const double packed = goal.amount * kg * (orchard::is_per_acre(goal.unit) ? orchard::acres_per_ha
                                                                            : 1);
  sheet.line("goal: " + plain(goal.amount) + " a" +
             (orchard::is_per_acre(goal.unit) ? "n acre" : " hectare") + ", " + plain(kg) +
             " kg each; 1 hectare is 2.47105 acres");
  sheet.equation("packed kg a hectare", num(goal.amount) + " × " + num(kg) +
                 (orchard::is_per_acre(goal.unit) ? " × " + num(orchard::acres_per_ha) : ""),
                 packed);
  const double harvest = orchard::harvest_kg_per_ha(goal);
  sheet.equation("on the trees, kg a hectare",
                 num(packed) + " ÷ " + num(goal.pack_out_fraction), harvest,
                 "(pack-out)");
  const double grams = orchard::mean_fruit_grams(goal);
  if (goal.fruit_size.count_per_box) {
    sheet.equation("grams a fruit", num(goal.box_kg) + " × 1000 ÷ " +
                   num(*goal.fruit_size.count_per_box), grams, "(fruits to a box)");
  } else if (goal.fruit_size.diameter_mm) {
    sheet.line("grams a fruit: " + plain(grams) + " at " + plain(*goal.fruit_size.diameter_mm) +
               " mm, by the WSDA pack chart (72 count 3 1/2 in … 163 count 2 1/2 in, 40 lb box)");
  }
  sheet.equation("fruits a hectare", num(harvest) + " × 1000 ÷ " + num(grams),
                 harvest * 1000 / grams);
  sheet.equation("fruits a tree", num(harvest * 1000 / grams) + " ÷ " + num(trees_per_ha), fruits);
}

void explain_trunk(const orchard::TrunkGoal& goal, double fruits, Worksheet& sheet) {
  const double cm2 = goal.girth_mm ? orchard::trunk_cm2_from_girth(*goal.girth_mm)
                                   : orchard::trunk_cm2_from_diameter(*goal.diameter_mm);
  if (goal.girth_mm) {
    const std::string cm = num(*goal.girth_mm / 10);
    sheet.equation("trunk in cm²", cm + " × " + cm + " ÷ (4 × 3.14159)", cm2, "(girth in cm)");
  } else {
    const std::string cm = num(*goal.diameter_mm / 10);
    sheet.equation("trunk in cm²", "3.14159 ÷ 4 × " + cm + " × " + cm, cm2, "(diameter in cm)");
  }
  sheet.equation("fruits a tree", num(cm2) + " × " + num(goal.fruits_per_cm2), fruits,
                 "(fruits a cm²)");
}

}  // namespace

void explain_goal(const ExplainedBlock& it, Worksheet& sheet) {
  const orchard::Block& block = *it.block->block;
  const orchard::Target& target = it.target.target;
  const std::string area = "(" + num(block.spacing.row_m) + " × " + num(block.spacing.tree_m) + ")";
  sheet.step("Trees in an area");
  sheet.equation("trees a hectare", "10000 ÷ " + area, target.trees_per_ha);
  sheet.equation("trees an acre", num(orchard::square_metres_per_acre) + " ÷ " + area,
                 target.trees_per_acre);
  sheet.step("Fruits on a tree");
  if (block.target.yield) {
    explain_yield(*block.target.yield, target.trees_per_ha, target.fruits_per_tree, sheet);
  } else if (block.target.trunk) {
    explain_trunk(*block.target.trunk, target.fruits_per_tree, sheet);
  } else {
    sheet.line("typed in: " + plain(target.fruits_per_tree));
  }
  sheet.step("Flowering spurs on a tree");
  sheet.equation("flowering spurs", "whole(" + num(target.fruits_per_tree) + " × " +
                 num(block.target.insurance_factor) + ")", target.flowering_spurs_per_tree,
                 "(insurance factor)");
}

void explain_target(const ExplainedBlock& it, Worksheet& sheet) {
  const orchard::Block& block = *it.block->block;
  const orchard::Target& target = it.target.target;
  const orchard::Estimate& p = target.floral_fraction;
  const orchard::Estimate& leave = target.spurs_to_leave_per_tree;
  const std::string flowering = num(target.flowering_spurs_per_tree);
  sheet.step("Spurs to leave on a tree: the target");
  sheet.equation("spurs to leave", "whole(" + flowering + " ÷ " + num(p.value) + ")", leave.value);
  if (p.low < p.high) {
    sheet.equation("at least", "whole(" + flowering + " ÷ " + num(p.high) + ")", leave.low);
    sheet.equation("at most", "whole(" + flowering + " ÷ " + num(p.low) + ")", leave.high);
  }
  const double t = block.tolerance_fraction;
  sheet.equation("band, low end", num(leave.value) + " × (1 - " + num(t) + ")",
                 leave.value * (1 - t));
  sheet.equation("band, high end", num(leave.value) + " × (1 + " + num(t) + ")",
                 leave.value * (1 + t));
  sheet.equation("seeds at bloom", flowering + " × " + num(block.target.flowers_per_spur) + " × " +
                 num(block.target.seeds_per_fruit), target.seeds_per_tree_at_bloom);
  const auto what = advice::consequences(it.farm->season, it.block->id);
  sheet.equation("in an on-year", "whole(" + flowering + " ÷ " + num(what.on_year.floral_fraction) +
                 ")", what.on_year.spurs_to_leave);
  sheet.equation("in an off-year", "whole(" + flowering + " ÷ " +
                 num(what.off_year.floral_fraction) + ")", what.off_year.spurs_to_leave);
}

void explain_unpruned(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("What an unpruned tree carries");
  std::vector<double> spurs;
  std::string sum, squares;
  double total = 0, square = 0;
  for (const auto& entry : it.block->before_counts) {
    if (entry.withdrawn) continue;
    spurs.push_back(entry.body.spurs);
    total += entry.body.spurs;
  }
  if (spurs.empty()) return sheet.line("no unpruned tree was counted");
  const double n = static_cast<double>(spurs.size());
  const double mean = total / n;
  for (const double x : spurs) {
    sum += (sum.empty() ? "" : " + ") + num(x);
    squares += (squares.empty() ? "" : " + ") + num(x - mean) + " × " + num(x - mean);
    square += (x - mean) * (x - mean);
  }
  const auto what = advice::consequences(it.farm->season, it.block->id);
  sheet.equation("mean", "(" + sum + ") ÷ " + num(n), what.unpruned_spurs.value);
  if (n >= 2) {
    const double sd = std::sqrt(square / (n - 1));
    sheet.equation("standard deviation", "√((" + squares + ") ÷ " + num(n - 1) + ")", sd);
    sheet.equation("low", num(mean) + " - t(0.95; " + num(n - 1) + ") × " + num(sd) + " ÷ √(" +
                   num(n) + ")", what.unpruned_spurs.low);
    sheet.equation("high", num(mean) + " + t(0.95; " + num(n - 1) + ") × " + num(sd) + " ÷ √(" +
                   num(n) + ")", what.unpruned_spurs.high);
  }
  sheet.equation("to take off", num(what.unpruned_spurs.value) + " - " +
                 num(it.target.target.spurs_to_leave_per_tree.value), what.spurs_to_take.value,
                 base::print("(about %.0f of %d limbs' worth)", what.limbs_worth_to_take,
                             it.block->block->limbs_per_tree));
  sheet.equation("over target, as a share of it", num(what.unpruned_spurs.value) + " ÷ " +
                 num(it.target.target.spurs_to_leave_per_tree.value) + " - 1",
                 what.over_fraction_unpruned);
  for (const auto& [name, year] : {std::pair{"to take off in an on-year", what.on_year},
                                   {"to take off in an off-year", what.off_year}}) {
    sheet.equation(name, "max(0; " + num(what.unpruned_spurs.value) + " - " +
                   num(year.spurs_to_leave) + ")", year.spurs_to_take);
  }
  const orchard::Target& target = it.target.target;
  sheet.line("if nothing were pruned, at one fruitlet set on a flowering spur:");
  sheet.equation("fruitlets to thin by hand on a tree",
                 "max(0; " + num(what.unpruned_spurs.value) + " × " +
                 num(target.floral_fraction.value) + " - " + num(target.fruits_per_tree) + ")",
                 what.fruitlets_to_thin_per_tree);
  const double rate = it.farm->season.farm().hand_thinning_fruitlets_per_hour;
  sheet.equation("hours of it a hectare", num(what.fruitlets_to_thin_per_tree) + " × " +
                 num(target.trees_per_ha) + " ÷ " + num(rate), what.thinning_hours_per_ha);
}

}  // namespace nthtree::cli
