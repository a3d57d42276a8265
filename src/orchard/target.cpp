// SPDX-License-Identifier: Apache-2.0
#include "orchard/target.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "orchard/fruit_size.h"
#include "orchard/limits.h"
#include "orchard/units.h"

namespace nthtree::orchard {
namespace {

using base::Error;
using base::Ok;
using base::Result;
using base::Status;

// Remembers the first refusal, so that a list of checks reads as a list.
class Checks {
 public:
  Checks& number(double value, Range range, const char* field) {
    if (!error_) error_ = refuse_outside(value, range, field);
    return *this;
  }
  Checks& optional(const std::optional<double>& value, Range range, const char* field) {
    return value ? number(*value, range, field) : *this;
  }
  // Exactly one of the named ways must be given.
  Checks& one_of(int given, const char* field, const char* names) {
    if (!error_ && given != 1) {
      error_ = Error{"one_of", base::print("%d given: exactly one of %s is allowed", given, names),
                     field};
    }
    return *this;
  }
  Status status() const {
    if (error_) return *error_;
    return Ok{};
  }

 private:
  std::optional<Error> error_;
};

double kg_per_ha_of_one(const YieldGoal& goal) {
  return kg_of_unit(goal) * (is_per_acre(goal.unit) ? acres_per_ha : 1);
}

// The range of the amount, told in the unit the amount was typed in.
Range amount_range(const YieldGoal& goal) {
  const double kg_per_ha = kg_per_ha_of_one(goal);
  const auto tidy = [&](double kg) { return std::strtod(
      base::print("%.2g", kg / kg_per_ha).c_str(), nullptr); };
  return {tidy(limits::yield_kg_per_ha.low), tidy(limits::yield_kg_per_ha.high)};
}

Status check_yield(const YieldGoal& goal) {
  const FruitSize& size = goal.fruit_size;
  Checks checks;
  checks.number(goal.box_kg, limits::box_kg, "yield.box_kg")
      .number(goal.bin_kg, limits::bin_kg, "yield.bin_kg")
      .number(goal.pack_out_fraction, limits::pack_out_fraction, "yield.pack_out_fraction");
  if (!checks.status().ok()) return checks.status();
  return checks.number(goal.amount, amount_range(goal), "yield.amount")
      .one_of(size.count_per_box.has_value() + size.grams.has_value() +
                  size.diameter_mm.has_value(),
              "yield.fruit_size", "count_per_box, grams and diameter_mm")
      .optional(size.count_per_box, limits::count_per_box, "yield.fruit_size.count_per_box")
      .optional(size.grams, limits::fruit_grams, "yield.fruit_size.grams")
      .optional(size.diameter_mm, limits::fruit_diameter_mm, "yield.fruit_size.diameter_mm")
      .status();
}

Status check_trunk(const TrunkGoal& goal) {
  return Checks()
      .one_of(goal.girth_mm.has_value() + goal.diameter_mm.has_value(), "trunk",
              "girth_mm and diameter_mm")
      .optional(goal.girth_mm, limits::trunk_girth_mm, "trunk.girth_mm")
      .optional(goal.diameter_mm, limits::trunk_diameter_mm, "trunk.diameter_mm")
      .number(goal.fruits_per_cm2, limits::fruits_per_cm2, "trunk.fruits_per_cm2")
      .status();
}

Status check_spacing(const Spacing& spacing) {
  return Checks()
      .number(spacing.row_m, limits::row_spacing_m, "row_spacing_m")
      .number(spacing.tree_m, limits::tree_spacing_m, "tree_spacing_m")
      .status();
}

// Numbers that are fine one by one may still give no tree that ever stood.
Result<double> believable_fruits(double fruits, const char* field) {
  if (auto bad = refuse_outside(fruits, limits::fruits_per_tree, field)) {
    bad->id = "absurd_result";
    bad->what = base::print("gives %.6g fruits a tree: %g to %g is allowed", fruits,
                            limits::fruits_per_tree.low, limits::fruits_per_tree.high);
    return *bad;
  }
  return fruits;
}

Result<Estimate> floral_to_use(const TargetInput& input, const std::optional<Estimate>& floral) {
  if (!floral && !input.floral_fraction) {
    return Error{"missing_field",
                 "is missing: dissect buds, or give a number; 0.01 to 1 is allowed",
                 "floral_fraction"};
  }
  Estimate estimate = floral ? *floral : Estimate::exactly(*input.floral_fraction);
  const Status checked = Checks()
      .number(estimate.value, limits::floral_fraction, "floral_fraction")
      .number(estimate.low, {0, estimate.value}, "floral_fraction_low")
      .number(estimate.high, {estimate.value, 1}, "floral_fraction_high")
      .status();
  if (!checked) return checked.error();
  estimate.low = std::max(estimate.low, limits::floral_fraction.low);
  return estimate;
}

}  // namespace

base::Status check_target_input(const TargetInput& input) {
  const Status checked = Checks()
      .one_of(input.fruits_per_tree.has_value() + input.yield.has_value() +
                  input.trunk.has_value(),
              "fruits_per_tree", "fruits_per_tree, yield and trunk")
      .optional(input.fruits_per_tree, limits::fruits_per_tree, "fruits_per_tree")
      .number(input.insurance_factor, limits::insurance_factor, "insurance_factor")
      .optional(input.floral_fraction, limits::floral_fraction, "floral_fraction")
      .number(input.flowers_per_spur, limits::flowers_per_spur, "flowers_per_spur")
      .number(input.seeds_per_fruit, limits::seeds_per_fruit, "seeds_per_fruit")
      .status();
  if (!checked) return checked;
  if (input.yield) return check_yield(*input.yield);
  if (input.trunk) return check_trunk(*input.trunk);
  return Ok{};
}

double kg_of_unit(const YieldGoal& goal) {
  switch (goal.unit) {
    case YieldUnit::boxes_per_acre:
    case YieldUnit::boxes_per_ha: return goal.box_kg;
    case YieldUnit::bins_per_acre:
    case YieldUnit::bins_per_ha: return goal.bin_kg;
    case YieldUnit::kg_per_acre:
    case YieldUnit::kg_per_ha: return 1;
    case YieldUnit::t_per_acre:
    case YieldUnit::t_per_ha: return 1000;
    case YieldUnit::lb_per_acre: return kg_per_lb;
  }
  NTHTREE_ASSERT(false);
  return 0;
}

bool is_per_acre(YieldUnit unit) {
  return unit == YieldUnit::boxes_per_acre || unit == YieldUnit::bins_per_acre ||
         unit == YieldUnit::kg_per_acre || unit == YieldUnit::t_per_acre ||
         unit == YieldUnit::lb_per_acre;
}

double mean_fruit_grams(const YieldGoal& goal) {
  const FruitSize& size = goal.fruit_size;
  if (size.count_per_box) return grams_from_count(*size.count_per_box, goal.box_kg);
  if (size.grams) return *size.grams;
  NTHTREE_ASSERT(size.diameter_mm.has_value());
  return grams_from_diameter(*size.diameter_mm);
}

double harvest_kg_per_ha(const YieldGoal& goal) {
  return goal.amount * kg_per_ha_of_one(goal) / goal.pack_out_fraction;
}

double spurs_to_leave(double flowering_spurs, double floral_fraction) {
  return whole_half_up(flowering_spurs / floral_fraction);
}

double trees_per_ha(const Spacing& spacing) {
  return square_metres_per_ha / (spacing.row_m * spacing.tree_m);
}

double trees_per_acre(const Spacing& spacing) {
  return square_metres_per_acre / (spacing.row_m * spacing.tree_m);
}

base::Result<double> fruits_per_tree(const TargetInput& input,
                                     const std::optional<Spacing>& spacing) {
  if (const Status checked = check_target_input(input); !checked) return checked.error();
  if (spacing) {
    if (const Status checked = check_spacing(*spacing); !checked) return checked.error();
  }
  if (input.fruits_per_tree) return *input.fruits_per_tree;
  if (input.trunk) {
    const TrunkGoal& goal = *input.trunk;
    const double cm2 = goal.girth_mm ? trunk_cm2_from_girth(*goal.girth_mm)
                                     : trunk_cm2_from_diameter(*goal.diameter_mm);
    return believable_fruits(cm2 * goal.fruits_per_cm2, "trunk.fruits_per_cm2");
  }
  if (!spacing) {
    return Error{"missing_field", "is missing: a yield goal needs it; 0.5 to 20 is allowed",
                 "row_spacing_m"};
  }
  const double fruits_per_ha = harvest_kg_per_ha(*input.yield) * 1000 /
                               mean_fruit_grams(*input.yield);
  return believable_fruits(fruits_per_ha / trees_per_ha(*spacing), "yield.amount");
}

base::Result<Target> work_out_target(const TargetInput& input,
                                     const std::optional<Spacing>& spacing,
                                     const std::optional<Estimate>& floral) {
  const Result<double> fruits = fruits_per_tree(input, spacing);
  if (!fruits) return fruits.error();
  const Result<Estimate> fraction = floral_to_use(input, floral);
  if (!fraction) return fraction.error();

  Target target;
  if (spacing) {
    target.trees_per_acre = trees_per_acre(*spacing);
    target.trees_per_ha = trees_per_ha(*spacing);
  }
  target.fruits_per_tree = *fruits;
  target.floral_fraction = *fraction;
  target.flowering_spurs_exact = *fruits * input.insurance_factor;
  target.flowering_spurs_per_tree = whole_half_up(target.flowering_spurs_exact);
  target.spurs_to_leave_exact = {target.flowering_spurs_exact / fraction->value,
                                 target.flowering_spurs_exact / fraction->high,
                                 target.flowering_spurs_exact / fraction->low};
  const double flowering = target.flowering_spurs_per_tree;
  target.spurs_to_leave_per_tree = {spurs_to_leave(flowering, fraction->value),
                                    spurs_to_leave(flowering, fraction->high),
                                    spurs_to_leave(flowering, fraction->low)};
  target.seeds_per_tree_at_bloom = flowering * input.flowers_per_spur * input.seeds_per_fruit;
  return target;
}

}  // namespace nthtree::orchard
