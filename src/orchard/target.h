// SPDX-License-Identifier: Apache-2.0
//
// From what a block should yield to the number of spurs a pruner leaves on a tree.
//
//   flowering spurs = fruits × insurance factor        (rounded to a whole spur, half up)
//   spurs to leave  = flowering spurs ÷ floral fraction (the same)
//
// A spur cannot be left in part, so each step is rounded as it is done on paper; the unrounded
// numbers stand beside. The floral fraction's interval becomes the target's interval; the
// tolerance band is a different thing (what the crew may miss by) and is kept apart.
//
// Does not model: partial flowering of a cluster, or insurance learnt from earlier seasons (see
// advice/review/learning.h).
#pragma once

#include <optional>
#include <string>

#include "base/result.h"

namespace nthtree::orchard {

// An estimate with the interval it is known to; low = high = value where it is simply given.
struct Estimate {
  double value = 0;
  double low = 0;
  double high = 0;
  static Estimate exactly(double v) { return {v, v, v}; }
  friend bool operator==(const Estimate&, const Estimate&) = default;
};

enum class YieldUnit {
  boxes_per_acre, boxes_per_ha, bins_per_acre, bins_per_ha,
  kg_per_acre, kg_per_ha, t_per_acre, t_per_ha, lb_per_acre,
};

// Mean fruit size, in exactly one of three ways.
struct FruitSize {
  std::optional<double> count_per_box;
  std::optional<double> grams;
  std::optional<double> diameter_mm;
  friend bool operator==(const FruitSize&, const FruitSize&) = default;
};

struct YieldGoal {
  double amount = 0;
  YieldUnit unit = YieldUnit::boxes_per_acre;
  FruitSize fruit_size;
  double box_kg = 19.05087954;   // 42 lb; the trade also packs 40 lb: ask, do not assume
  double bin_kg = 380;           // farm's own bins; no standard
  double pack_out_fraction = 1;  // of the harvested fruit, the share that is packed and counted
  friend bool operator==(const YieldGoal&, const YieldGoal&) = default;
};

// Crop load by trunk cross-sectional area: exactly one of girth and diameter.
struct TrunkGoal {
  std::optional<double> girth_mm;
  std::optional<double> diameter_mm;
  double fruits_per_cm2 = 0;
  friend bool operator==(const TrunkGoal&, const TrunkGoal&) = default;
};

// What the target is worked out from. Exactly one of fruits_per_tree, yield and trunk.
struct TargetInput {
  std::optional<double> fruits_per_tree;
  std::optional<YieldGoal> yield;
  std::optional<TrunkGoal> trunk;
  double insurance_factor = 1.5;
  // Typed in where no buds were dissected yet; a dissection replaces it (advice/known/floral.h).
  std::optional<double> floral_fraction;
  double flowers_per_spur = 5;  // common practice, no source; NIAB gives 5-6
  double seeds_per_fruit = 10;  // 5 carpels of 2 ovules
  friend bool operator==(const TargetInput&, const TargetInput&) = default;
};

struct Spacing {
  double row_m = 0;   // between rows
  double tree_m = 0;  // between trees in the row
  friend bool operator==(const Spacing&, const Spacing&) = default;
};

struct Target {
  double trees_per_acre = 0;  // 0 where no spacing was given
  double trees_per_ha = 0;    // the same
  double fruits_per_tree = 0;
  double flowering_spurs_exact = 0;
  double flowering_spurs_per_tree = 0;  // whole
  Estimate floral_fraction;             // 0 … 1
  Estimate spurs_to_leave_exact;
  Estimate spurs_to_leave_per_tree;  // whole; low comes from the high floral fraction
  double seeds_per_tree_at_bloom = 0;  // flowering spurs × flowers × seeds per fruit
  friend bool operator==(const Target&, const Target&) = default;
};

// Errors name the field as it stands in the wire form: "insurance_factor", "yield.amount",
// "row_spacing_m" … with the value and what is allowed (limits.h). `floral` replaces
// input.floral_fraction when given; a low end under 0.01 is taken as 0.01, so that a poor
// dissection gives a wide target and not an endless one. Spacing may be left out where it is not
// needed: only a yield goal needs it.
base::Result<Target> work_out_target(const TargetInput& input,
                                     const std::optional<Spacing>& spacing,
                                     const std::optional<Estimate>& floral = std::nullopt);

// Checks every number of the input without needing a floral fraction or a spacing; the same
// errors as above. For a form that is half filled in.
base::Status check_target_input(const TargetInput& input);

// Fruits a tree by whichever way the input takes; the same errors.
base::Result<double> fruits_per_tree(const TargetInput& input,
                                     const std::optional<Spacing>& spacing);

// What one unit of a yield goal's amount weighs in kg (a box, a bin, a tonne …), and whether it is
// meant by the acre; else by the hectare.
double kg_of_unit(const YieldGoal& goal);
bool is_per_acre(YieldUnit unit);

// Mean fruit weight in grams of a checked yield goal.
double mean_fruit_grams(const YieldGoal& goal);

// Weight on the trees in kg a hectare of a checked yield goal: what is packed ÷ pack-out.
double harvest_kg_per_ha(const YieldGoal& goal);

// Whole flowering spurs ÷ floral fraction, rounded to whole spurs half up.
double spurs_to_leave(double flowering_spurs, double floral_fraction);

// Trees an acre and a hectare; spacing must be positive. A square or rectangular planting.
double trees_per_ha(const Spacing& spacing);
double trees_per_acre(const Spacing& spacing);
// How many times more trees a triangular (diamond) planting holds at the same distance between
// neighbours: 2/√3 (Green Tree Nursery, "Planting patterns", says about 15 %).
inline constexpr double triangular_planting_factor = 1.1547005383792515;

}  // namespace nthtree::orchard
