// SPDX-License-Identifier: Apache-2.0
// From the goal to the flowering spurs on a tree, in the farm's own units.
#include <cmath>

#include "base/text.h"
#include "cli/explain/steps.h"
#include "orchard/fruit_size.h"
#include "orchard/units.h"

namespace nthtree::cli {
namespace {

// What the farm weighs and measures in, and how many of it a metric unit is.
struct FarmUnits {
  const char *mass, *area, *small_mass;
  double masses_of_kg, areas_of_ha, small_of_mass;  // lb: fruit in lb; kg: fruit in grams
};
constexpr FarmUnits us_units{"lb", "acre", "lb", 1 / orchard::kg_per_lb, orchard::acres_per_ha, 1};
constexpr FarmUnits metric_units{"kg", "hectare", "grams", 1, 1, 1000};

std::string an_area(const FarmUnits& in) {
  return std::string(in.area[0] == 'a' ? "an " : "a ") + in.area;
}

const char* yield_words(orchard::YieldUnit unit) {
  switch (unit) {
    case orchard::YieldUnit::boxes_per_acre: return "boxes an acre";
    case orchard::YieldUnit::boxes_per_ha: return "boxes a hectare";
    case orchard::YieldUnit::bins_per_acre: return "bins an acre";
    case orchard::YieldUnit::bins_per_ha: return "bins a hectare";
    case orchard::YieldUnit::kg_per_acre: return "kg an acre";
    case orchard::YieldUnit::kg_per_ha: return "kg a hectare";
    case orchard::YieldUnit::t_per_acre: return "t an acre";
    case orchard::YieldUnit::t_per_ha: return "t a hectare";
    case orchard::YieldUnit::lb_per_acre: break;
  }
  return "lb an acre";
}

// The trade counts boxes and bushels; they are the same only where the box holds 42 lb.
void explain_bushels(const orchard::YieldGoal& goal, double packed, const FarmUnits& in,
                     Worksheet& sheet) {
  if (goal.unit != orchard::YieldUnit::boxes_per_acre &&
      goal.unit != orchard::YieldUnit::boxes_per_ha) {
    return;
  }
  const double bushel = orchard::kg_per_bushel * in.masses_of_kg;
  sheet.equation("in bushels " + an_area(in), num(packed) + " ÷ " + num(bushel), packed / bushel,
                 std::string("(a bushel of apples is 42 lb") +
                 (in.small_of_mass == 1 ? ")" : ", " + num(bushel) + " kg)"));
}

void explain_fruit(const orchard::YieldGoal& goal, const FarmUnits& in, Worksheet& sheet) {
  const double grams = orchard::mean_fruit_grams(goal);
  const double fruit = grams / 1000 * in.masses_of_kg * in.small_of_mass;
  if (goal.fruit_size.count_per_box) {
    const std::string small = in.small_of_mass == 1 ? "" : " × " + num(in.small_of_mass);
    sheet.equation(std::string(in.small_mass) + " a fruit",
                   num(goal.box_kg * in.masses_of_kg) + small + " ÷ " +
                   num(*goal.fruit_size.count_per_box), fruit, "(fruits to a box)");
  } else if (goal.fruit_size.diameter_mm) {
    sheet.line(std::string(in.small_mass) + " a fruit: " + plain(fruit) + " at " +
               plain(*goal.fruit_size.diameter_mm) + " mm (" +
               plain(orchard::inches_from_mm(*goal.fruit_size.diameter_mm)) +
               " in), by the WSDA pack chart (72 count 3 1/2 in … 163 count 2 1/2 in, 40 lb box)");
  } else {
    sheet.equation(std::string(in.small_mass) + " a fruit",
                   num(grams) + " ÷ 1000 × " + num(in.masses_of_kg * in.small_of_mass), fruit,
                   "(grams as typed in)");
  }
}

void explain_yield(const orchard::YieldGoal& goal, const FarmUnits& in, double trees, double fruits,
                   Worksheet& sheet) {
  const bool by_acre = orchard::is_per_acre(goal.unit), in_acres = in.areas_of_ha != 1;
  const double unit = orchard::kg_of_unit(goal) * in.masses_of_kg;
  const double packed = goal.amount * unit * (by_acre ? orchard::acres_per_ha : 1) /
                        in.areas_of_ha;
  const std::string area = in.mass + (" " + an_area(in));
  sheet.line("goal: " + plain(goal.amount) + " " + yield_words(goal.unit) + ", " +
             plain(unit) + " " + in.mass + " each" +
             (by_acre == in_acres ? "" : "; 1 hectare is 2.47105 acres"));
  const std::string acres = num(orchard::acres_per_ha);
  sheet.equation("packed " + area, num(goal.amount) + " × " + num(unit) +
                 (by_acre == in_acres ? "" : by_acre ? " × " + acres : " ÷ " + acres), packed);
  explain_bushels(goal, packed, in, sheet);
  const double harvest = packed / goal.pack_out_fraction;
  sheet.equation("on the trees, " + area, num(packed) + " ÷ " + num(goal.pack_out_fraction),
                 harvest, "(pack-out)");
  explain_fruit(goal, in, sheet);
  const double fruit = orchard::mean_fruit_grams(goal) / 1000 * in.masses_of_kg * in.small_of_mass;
  const double of_area = harvest * in.small_of_mass / fruit;
  sheet.equation("fruits " + an_area(in), num(harvest) +
                 (in.small_of_mass == 1 ? "" : " × " + num(in.small_of_mass)) + " ÷ " + num(fruit),
                 of_area);
  sheet.equation("fruits a tree", num(of_area) + " ÷ " + num(trees), fruits);
}

void explain_trunk(const orchard::TrunkGoal& goal, bool us, double fruits, Worksheet& sheet) {
  const double mm = goal.girth_mm ? *goal.girth_mm : *goal.diameter_mm;
  const double cm2 = goal.girth_mm ? orchard::trunk_cm2_from_girth(mm)
                                   : orchard::trunk_cm2_from_diameter(mm);
  const std::string cm = us ? "(" + num(orchard::inches_from_mm(mm)) + " × 2.54)" : num(mm / 10);
  const std::string how = goal.girth_mm ? cm + " × " + cm + " ÷ (4 × 3.14159)"
                                        : "3.14159 ÷ 4 × " + cm + " × " + cm;
  sheet.equation("trunk in cm²", how, cm2, std::string(goal.girth_mm ? "(girth" : "(diameter") +
                 (us ? " in inches of 2.54 cm)" : " in cm)"));
  sheet.equation("fruits a tree", num(cm2) + " × " + num(goal.fruits_per_cm2), fruits,
                 "(fruits a cm²)");
}

void explain_trees(const orchard::Spacing& spacing, bool us, const orchard::Target& target,
                   Worksheet& sheet) {
  const std::string acres = num(orchard::acres_per_ha);
  if (us) {
    sheet.equation("trees an acre", num(orchard::square_feet_per_acre) + " ÷ (" +
                   num(orchard::feet_from_metres(spacing.row_m)) + " × " +
                   num(orchard::feet_from_metres(spacing.tree_m)) + ")", target.trees_per_acre,
                   "(between rows × in the row, in feet)");
    return sheet.equation("trees a hectare", num(target.trees_per_acre) + " × " + acres,
                          target.trees_per_ha);
  }
  sheet.equation("trees a hectare", "10000 ÷ (" + num(spacing.row_m) + " × " +
                 num(spacing.tree_m) + ")", target.trees_per_ha,
                 "(between rows × in the row, in metres)");
  sheet.equation("trees an acre", num(target.trees_per_ha) + " ÷ " + acres,
                 target.trees_per_acre);
}

}  // namespace

void explain_goal(const ExplainedBlock& it, Worksheet& sheet) {
  const orchard::Block& block = *it.block->block;
  const orchard::Target& target = it.target.target;
  sheet.step("Trees in an area");
  explain_trees(block.spacing, it.us(), target, sheet);
  sheet.step("Fruits on a tree");
  if (block.target.yield) {
    explain_yield(*block.target.yield, it.us() ? us_units : metric_units,
                  it.us() ? target.trees_per_acre : target.trees_per_ha, target.fruits_per_tree,
                  sheet);
  } else if (block.target.trunk) {
    explain_trunk(*block.target.trunk, it.us(), target.fruits_per_tree, sheet);
  } else {
    sheet.line("typed in: " + plain(target.fruits_per_tree));
  }
  sheet.step("Flowering spurs on a tree");
  sheet.equation("flowering spurs", "whole(" + num(target.fruits_per_tree) + " × " +
                 num(block.target.insurance_factor) + ")", target.flowering_spurs_per_tree,
                 "(insurance factor)");
}

}  // namespace nthtree::cli
