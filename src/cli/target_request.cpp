// SPDX-License-Identifier: Apache-2.0
#include "cli/target_request.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "base/text.h"
#include "ledger/body_fields.h"
#include "ledger/json_text.h"
#include "ledger/wire.h"
#include "orchard/limits.h"
#include "orchard/units.h"

namespace nthtree::cli {
namespace {

using base::Error;
using base::Result;
using base::Status;
using ledger::FieldReader;
using nlohmann::json;
using orchard::Range;
namespace limits = orchard::limits;

constexpr std::size_t text_bytes_max = 1 << 20;
constexpr int depth_max = 8;
constexpr std::size_t branches_max = 1000;
constexpr Range buds_of_block{0, 5000};  // where only the sums are given
constexpr Range branches_of_tree{1, 100};

// Limits in another unit, rounded inwards to what a person would write: "1.65 to 65.61".
Range converted(Range range, double (*convert)(double)) {
  return {std::ceil(convert(range.low) * 100) / 100, std::floor(convert(range.high) * 100) / 100};
}

// The units of a ledger, and bushels, which weigh 42 lb whatever the farm's box holds.
void yield_unit(FieldReader& reader, orchard::YieldGoal& goal) {
  ledger::Choices units = ledger::wire::yield_units;
  const int in_ledgers = static_cast<int>(units.size());
  units.insert(units.end(), {"bushels_per_acre", "bushels_per_ha"});
  int unit = 0;
  reader.choice("unit", unit, units);
  if (unit < in_ledgers) {
    goal.unit = static_cast<orchard::YieldUnit>(unit);
    return;
  }
  goal.amount *= orchard::kg_per_bushel;
  goal.unit = unit == in_ledgers ? orchard::YieldUnit::kg_per_acre : orchard::YieldUnit::kg_per_ha;
}

// The fields of a yield goal but its amount: the same names nested and flat.
void yield_fields(FieldReader& reader, orchard::YieldGoal& goal) {
  yield_unit(reader, goal);
  orchard::FruitSize& size = goal.fruit_size;
  if (reader.has("fruit_size")) {
    reader.group("fruit_size", size, [](FieldReader& inner, orchard::FruitSize& out) {
      inner.number_or("count_per_box", out.count_per_box, limits::count_per_box);
      inner.number_or("grams", out.grams, limits::fruit_grams);
      inner.number_or("diameter_mm", out.diameter_mm, limits::fruit_diameter_mm);
    });
  }
  reader.number_or("count_per_box", size.count_per_box, limits::count_per_box);
  reader.number_or("fruit_grams", size.grams, limits::fruit_grams);
  reader.number_or("fruit_diameter_mm", size.diameter_mm, limits::fruit_diameter_mm);
  const int given = size.count_per_box.has_value() + size.grams.has_value() +
                    size.diameter_mm.has_value();
  reader.demand(given == 1, "fruit_size", "one_of",
                base::print("%d given: exactly one of count_per_box, grams and diameter_mm is "
                            "allowed", given));
  std::optional<double> box_lb, bin_lb;
  const auto in_lb = [](Range kg) { return converted(kg, orchard::lb_from_kg); };
  reader.number_or("box_kg", goal.box_kg, limits::box_kg);
  reader.number_or("box_lb", box_lb, in_lb(limits::box_kg));
  reader.number_or("bin_kg", goal.bin_kg, limits::bin_kg);
  reader.number_or("bin_lb", bin_lb, in_lb(limits::bin_kg));
  reader.demand(!(box_lb && reader.has("box_kg")), "box_lb", "one_of",
                "box_kg is given too: one of them is allowed");
  reader.demand(!(bin_lb && reader.has("bin_kg")), "bin_lb", "one_of",
                "bin_kg is given too: one of them is allowed");
  if (box_lb) goal.box_kg = orchard::kg_from_lb(*box_lb);
  if (bin_lb) goal.bin_kg = orchard::kg_from_lb(*bin_lb);
  reader.number_or("pack_out_fraction", goal.pack_out_fraction, limits::pack_out_fraction);
}

constexpr Range any_amount{-1e300, 1e300};  // its range depends on the unit: orchard checks it

void goal_fields(FieldReader& reader, const json& object, TargetRequest& request) {
  orchard::TargetInput& input = request.input;
  reader.number_or("fruits_per_tree", input.fruits_per_tree, limits::fruits_per_tree);
  if (const auto yield = object.find("yield"); yield != object.end()) {
    orchard::YieldGoal goal;
    request.yield_is_flat = !yield->is_object();
    if (request.yield_is_flat) {
      reader.number_or("yield", goal.amount, any_amount);
      yield_fields(reader, goal);
    } else {
      reader.group("yield", goal, [](FieldReader& inner, orchard::YieldGoal& out) {
        inner.number("amount", out.amount, any_amount);
        yield_fields(inner, out);
      });
    }
    input.yield = goal;
  }
  reader.group_or("trunk", input.trunk, [](FieldReader& inner, orchard::TrunkGoal& goal) {
    inner.number_or("girth_mm", goal.girth_mm, limits::trunk_girth_mm);
    inner.number_or("diameter_mm", goal.diameter_mm, limits::trunk_diameter_mm);
    inner.number("fruits_per_cm2", goal.fruits_per_cm2, limits::fruits_per_cm2);
  });
  reader.number_or("insurance_factor", input.insurance_factor, limits::insurance_factor);
  reader.number_or("flowers_per_spur", input.flowers_per_spur, limits::flowers_per_spur);
  reader.number_or("seeds_per_fruit", input.seeds_per_fruit, limits::seeds_per_fruit);
}

void spacing_field(FieldReader& reader, const char* in_m, const char* in_ft, Range range_m,
                   std::optional<double>& metres) {
  std::optional<double> feet;
  reader.number_or(in_m, metres, range_m);
  reader.number_or(in_ft, feet, converted(range_m, orchard::feet_from_metres));
  reader.demand(!(metres && feet), in_ft, "one_of",
                std::string(in_m) + " is given too: one of them is allowed");
  if (feet) metres = orchard::metres_from_feet(*feet);
}

void spacing_fields(FieldReader& reader, TargetRequest& request) {
  std::optional<double> row_m, tree_m;
  spacing_field(reader, "row_spacing_m", "row_spacing_ft", limits::row_spacing_m, row_m);
  spacing_field(reader, "tree_spacing_m", "tree_spacing_ft", limits::tree_spacing_m, tree_m);
  reader.demand(row_m.has_value() == tree_m.has_value(), row_m ? "tree_spacing_m" : "row_spacing_m",
                "missing_field", "is missing: the spacing needs both");
  if (row_m && tree_m) request.spacing = orchard::Spacing{*row_m, *tree_m};
}

// "floral_buds": [9, 7, …] and "vegetative_buds": [3, 5, …], one item a branch; or two sums.
void buds_by_branch(FieldReader& reader, const json& object, TargetRequest& request) {
  const bool sums = object["floral_buds"].is_number();
  std::vector<int> floral, vegetative;
  if (sums) {
    floral.resize(1), vegetative.resize(1);
    reader.integer("floral_buds", floral[0], buds_of_block);
    reader.integer("vegetative_buds", vegetative[0], buds_of_block);
  } else {
    reader.demand(object.contains("vegetative_buds"), "vegetative_buds", "missing_field",
                  "is missing: floral_buds needs it beside");
    reader.integers_or("floral_buds", floral, branches_max, limits::buds_per_branch);
    reader.integers_or("vegetative_buds", vegetative, branches_max, limits::buds_per_branch);
  }
  reader.demand(!floral.empty(), "floral_buds", "wrong_length",
                "0 branches: at least 1 is allowed");
  reader.demand(floral.size() == vegetative.size(), "vegetative_buds", "wrong_length",
                base::print("%zu branches: as many as in floral_buds, %zu, is allowed",
                            vegetative.size(), floral.size()));
  int per_tree = 1;
  reader.integer_or("branches_per_tree", per_tree, branches_of_tree);
  if (reader.failed()) return;
  request.branches_taken_as_trees = floral.size() > 1 && !object.contains("branches_per_tree");
  for (std::size_t i = 0; i < floral.size(); ++i) {
    ledger::BudSample branch;
    branch.tree = {1, 1 + static_cast<int>(i) / per_tree};
    branch.position = i % 2 == 0 ? ledger::BranchPosition::upper : ledger::BranchPosition::lower;
    branch.spur_floral = floral[i];
    branch.spur_vegetative = vegetative[i];
    request.branches.push_back(branch);
  }
}

// "branches": [{"tree": 1, "position": "upper", "floral": 9, "vegetative": 3}, …]
Status branch_list(const json& list, TargetRequest& request) {
  if (!list.is_array() || list.empty() || list.size() > branches_max) {
    return Error{"wrong_length", base::print("a list of 1 to %zu branches is allowed",
                                             branches_max), "branches"};
  }
  for (std::size_t i = 0; i < list.size(); ++i) {
    FieldReader reader(list[i], base::print("branches[%zu]", i));
    ledger::BudSample branch;
    branch.tree.row = 1;
    if (!reader.failed() && reader.has("row")) reader.integer("row", branch.tree.row, limits::rows);
    reader.integer("tree", branch.tree.tree, limits::trees_per_row);
    if (!reader.failed() && reader.has("position")) {
      reader.choice("position", branch.position, ledger::wire::branch_positions);
    }
    reader.integer("floral", branch.spur_floral, limits::buds_per_branch);
    reader.integer("vegetative", branch.spur_vegetative, limits::buds_per_branch);
    if (reader.failed()) return reader.error();
    request.branches.push_back(branch);
  }
  return base::Ok{};
}

Status floral_fields(FieldReader& reader, const json& object, TargetRequest& request) {
  const bool typed = object.contains("floral_fraction");
  const bool buds = object.contains("floral_buds") || object.contains("vegetative_buds");
  const bool list = object.contains("branches");
  reader.demand(typed + buds + list == 1, "floral_fraction", "one_of",
                base::print("%d given: exactly one of floral_fraction, floral_buds with "
                            "vegetative_buds, and branches is allowed", typed + buds + list));
  if (reader.failed()) return reader.error();
  if (typed) {
    reader.number_or("floral_fraction", request.input.floral_fraction, limits::floral_fraction);
    if (reader.failed()) return reader.error();
    orchard::Estimate interval = orchard::Estimate::exactly(*request.input.floral_fraction);
    reader.number_or("floral_fraction_low", interval.low, {0, interval.value});
    reader.number_or("floral_fraction_high", interval.high, {interval.value, 1});
    if (interval.low < interval.high) request.floral_interval = interval;
  } else if (buds) {
    reader.demand(object.contains("floral_buds"), "floral_buds", "missing_field",
                  "is missing: vegetative_buds needs it beside");
    if (!reader.failed()) buds_by_branch(reader, object, request);
  } else if (const Status read = branch_list(object["branches"], request); !read) {
    return read;
  }
  if (reader.failed()) return reader.error();
  int all = 0;
  for (const auto& branch : request.branches) all += branch.floral() + branch.vegetative();
  if (!typed && all == 0) {
    return Error{"out_of_range", "0 buds in all: at least 1 is allowed",
                 list ? "branches" : "floral_buds"};
  }
  return base::Ok{};
}

constexpr Range unpruned_spurs{1, limits::spurs_per_tree.high};
constexpr Range fruitlets_of_spur{0.1, 6};
constexpr Range bearing_branches{1, 500};

void consequence_fields(FieldReader& reader, TargetRequest& request) {
  reader.number_or("tolerance_fraction", request.tolerance_fraction, limits::tolerance_fraction);
  reader.number_or("unpruned_spurs_per_tree", request.unpruned_spurs_per_tree, unpruned_spurs);
  reader.number_or("fruitlets_per_spur", request.fruitlets_per_spur, fruitlets_of_spur);
  reader.number_or("hand_thinning_fruitlets_per_hour", request.hand_thinning_fruitlets_per_hour,
         limits::fruitlets_per_hour);
  reader.integer_or("limbs_per_tree", request.limbs_per_tree, limits::limbs_per_tree);
  reader.number_or("bearing_branches_per_tree", request.bearing_branches_per_tree,
                   bearing_branches);
  reader.text_or("variety", request.variety, ledger::name_bytes_max);
}

void note_unused(const json& object, TargetRequest& request) {
  static const std::set<std::string> known = {
      "fruits_per_tree", "yield", "trunk", "insurance_factor", "flowers_per_spur",
      "seeds_per_fruit", "unit", "fruit_size", "count_per_box", "fruit_grams", "fruit_diameter_mm",
      "box_kg", "box_lb", "bin_kg", "bin_lb", "pack_out_fraction", "row_spacing_m",
      "row_spacing_ft", "tree_spacing_m", "tree_spacing_ft", "floral_fraction",
      "floral_fraction_low", "floral_fraction_high", "floral_buds", "vegetative_buds",
      "branches_per_tree", "branches", "tolerance_fraction", "target", "variety",
      "unpruned_spurs_per_tree", "limbs_per_tree", "bearing_branches_per_tree",
      "fruitlets_per_spur",
      "hand_thinning_fruitlets_per_hour",
      // Of a block's settings, harmless here:
      "block", "name", "rows", "trees_per_row", "row_lengths", "stride",
      "stride_start", "stride_floor", "green_tip_date", "second_pass_until", "station"};
  for (const auto& [key, value] : object.items()) {
    if (!known.count(key)) request.unused_fields.push_back(key);
  }
}

}  // namespace

base::Result<TargetRequest> read_target_request(std::string_view json_text) {
  const auto parsed = ledger::parse_json(json_text, {text_bytes_max, depth_max});
  if (!parsed) return parsed.error();
  const json& object = *parsed;
  FieldReader reader(object, "");
  if (reader.failed()) return reader.error();
  TargetRequest request;
  const auto nested = object.find("target");
  const bool has_nested = nested != object.end();
  FieldReader goal_reader(has_nested ? *nested : object, has_nested ? "target" : "");
  if (goal_reader.failed()) return goal_reader.error();
  const json& goal = has_nested ? *nested : object;
  goal_fields(goal_reader, goal, request);
  if (goal_reader.failed()) return goal_reader.error();

  spacing_fields(reader, request);
  consequence_fields(reader, request);
  if (reader.failed()) return reader.error();
  request.has_insurance_factor = goal.contains("insurance_factor");
  request.has_seeds_per_fruit = goal.contains("seeds_per_fruit");
  const bool floral_in_goal = has_nested && goal.contains("floral_fraction");
  const Status floral = floral_fields(floral_in_goal ? goal_reader : reader,
                                      floral_in_goal ? goal : object, request);
  if (!floral) return floral.error();
  note_unused(object, request);
  if (has_nested) note_unused(goal, request);
  return request;
}

}  // namespace nthtree::cli
