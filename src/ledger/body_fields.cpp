// SPDX-License-Identifier: Apache-2.0
#include "ledger/body_fields.h"

#include <algorithm>
#include <numeric>

#include "base/text.h"
#include "ledger/wire.h"

namespace nthtree::ledger {
namespace {

namespace limits = orchard::limits;

constexpr std::size_t most(orchard::Range items) { return static_cast<std::size_t>(items.high); }

void tree_fields(FieldVisitor& v, std::string& block, orchard::TreeAddress& tree) {
  v.text("block", block, id_bytes_max);
  v.integer("row", tree.row, limits::rows);
  v.integer("tree", tree.tree, limits::trees_per_row);
}

void fields(FieldVisitor& v, FarmSettings& farm) {
  v.text("name", farm.name, name_bytes_max);
  v.flag_or("us_units", farm.us_units);
  v.integer_or("utc_offset_minutes", farm.utc_offset_minutes, limits::utc_offset_minutes);
  v.text_or("time_zone", farm.time_zone, time_zone_bytes_max);
  v.number_or("hours_per_day", farm.hours_per_day, limits::hours_per_day);
  v.text_or("currency", farm.currency, currency_bytes_max);
  v.number_or("wage_per_hour", farm.wage_per_hour, limits::money);
  v.number_or("fruit_price_per_kg", farm.fruit_price_per_kg, limits::money);
  v.number_or("hand_thinning_fruitlets_per_hour", farm.hand_thinning_fruitlets_per_hour,
              limits::fruitlets_per_hour);
  v.number_or("crowding_cost_per_1000_spurs", farm.crowding_cost_per_1000_spurs,
              limits::money);
  v.number_or("sureness", farm.sureness, limits::sureness);
  v.number_or("too_many_cost_ratio", farm.too_many_cost_ratio, limits::cost_ratio);
  v.number_or("pruner_minutes_per_day", farm.pruner_minutes_per_day, limits::plan_minutes);
  v.number_or("lead_minutes_per_day", farm.lead_minutes_per_day, limits::plan_minutes);
}

void fruit_size_fields(FieldVisitor& v, orchard::FruitSize& size) {
  v.number_or("count_per_box", size.count_per_box, limits::count_per_box);
  v.number_or("grams", size.grams, limits::fruit_grams);
  v.number_or("diameter_mm", size.diameter_mm, limits::fruit_diameter_mm);
  v.demand(size.count_per_box.has_value() + size.grams.has_value() +
                   size.diameter_mm.has_value() == 1,
           "count_per_box", "one_of_three",
           "exactly one of count_per_box, grams and diameter_mm must be given");
}

void yield_fields(FieldVisitor& v, orchard::YieldGoal& goal) {
  v.number("amount", goal.amount, limits::yield_amount);
  v.choice("unit", goal.unit, wire::yield_units);
  v.group("fruit_size", goal.fruit_size, fruit_size_fields);
  v.number_or("box_kg", goal.box_kg, limits::box_kg);
  v.number_or("bin_kg", goal.bin_kg, limits::bin_kg);
  v.number_or("pack_out_fraction", goal.pack_out_fraction, limits::pack_out_fraction);
}

void trunk_fields(FieldVisitor& v, orchard::TrunkGoal& goal) {
  v.number_or("girth_mm", goal.girth_mm, limits::trunk_girth_mm);
  v.number_or("diameter_mm", goal.diameter_mm, limits::trunk_diameter_mm);
  v.number("fruits_per_cm2", goal.fruits_per_cm2, limits::fruits_per_cm2);
  v.demand(goal.girth_mm.has_value() != goal.diameter_mm.has_value(), "girth_mm", "one_of_two",
           "exactly one of girth_mm and diameter_mm must be given");
}

void target_fields(FieldVisitor& v, orchard::TargetInput& target) {
  v.number_or("fruits_per_tree", target.fruits_per_tree, limits::fruits_per_tree);
  v.group_or("yield", target.yield, yield_fields);
  v.group_or("trunk", target.trunk, trunk_fields);
  v.demand(target.fruits_per_tree.has_value() + target.yield.has_value() +
                   target.trunk.has_value() == 1,
           "fruits_per_tree", "one_of_three",
           "exactly one of fruits_per_tree, yield and trunk must be given");
  v.number_or("insurance_factor", target.insurance_factor, limits::insurance_factor);
  v.number_or("floral_fraction", target.floral_fraction, limits::floral_fraction);
  v.number_or("flowers_per_spur", target.flowers_per_spur, limits::flowers_per_spur);
  v.number_or("seeds_per_fruit", target.seeds_per_fruit, limits::seeds_per_fruit);
}

void demand_day(FieldVisitor& v, const char* name, const std::string& day) {
  std::int64_t ignored_ms = 0;
  v.demand(day.empty() || (day.size() == 10 && base::parse_iso(day, ignored_ms)), name,
           "not_a_date", "must be a day such as 2026-03-28");
}

void fields(FieldVisitor& v, BlockSettings& settings) {
  orchard::Block& block = settings.block;
  v.text("block", block.id, id_bytes_max);
  v.text("name", block.name, name_bytes_max);
  v.text("variety", block.variety, name_bytes_max);
  v.integer("rows", block.rows, limits::rows);
  v.integer("trees_per_row", block.trees_per_row, limits::trees_per_row);
  v.integers_or("row_lengths", block.row_lengths, most(limits::rows), limits::row_length);
  v.demand(block.row_lengths.empty() ||
               block.row_lengths.size() == static_cast<std::size_t>(block.rows),
           "row_lengths", "wrong_length", "must have one length for each row");
  v.number("row_spacing_m", block.spacing.row_m, limits::row_spacing_m);
  v.number("tree_spacing_m", block.spacing.tree_m, limits::tree_spacing_m);
  v.integer_or("limbs_per_tree", block.limbs_per_tree, limits::limbs_per_tree);
  v.group("target", block.target, target_fields);
  v.number_or("tolerance_fraction", block.tolerance_fraction, limits::tolerance_fraction);
  v.integer_or("stride", block.stride, limits::stride);
  v.integer_or("stride_start", block.stride_start, limits::stride);
  v.integer_or("stride_floor", block.stride_floor, limits::stride);
  v.text_or("green_tip_date", block.green_tip_date, 10);
  demand_day(v, "green_tip_date", block.green_tip_date);
  v.text_or("second_pass_until", block.second_pass_until, 10);
  demand_day(v, "second_pass_until", block.second_pass_until);
  v.text_or("station", block.station, name_bytes_max);
}

void fields(FieldVisitor& v, PersonSettings& settings) {
  v.text("person", settings.person.id, id_bytes_max);
  v.text("name", settings.person.name, name_bytes_max);
  v.choice("role", settings.person.role, wire::roles);
  v.flag_or("active", settings.person.active);
  v.text_or("gang", settings.person.gang, name_bytes_max);
}

void fields(FieldVisitor& v, BudSample& body) {
  tree_fields(v, body.block, body.tree);
  v.choice("position", body.position, wire::branch_positions);
  v.integer_or("spur_floral", body.spur_floral, limits::buds_per_branch);
  v.integer_or("spur_vegetative", body.spur_vegetative, limits::buds_per_branch);
  v.integer_or("terminal_floral", body.terminal_floral, limits::buds_per_branch);
  v.integer_or("terminal_vegetative", body.terminal_vegetative, limits::buds_per_branch);
  v.integer_or("lateral_left_out", body.lateral_left_out, limits::buds_per_branch);
}

void fields(FieldVisitor& v, BeforeCount& body) {
  tree_fields(v, body.block, body.tree);
  v.integer("spurs", body.spurs, limits::spurs_per_tree);
}

void fields(FieldVisitor& v, TagCount& body) {
  tree_fields(v, body.block, body.tree);
  v.integer("spurs", body.spurs, limits::spurs_per_tree);
  v.integer_or("spurs_after_mend", body.spurs_after_mend, limits::spurs_per_tree);
  v.integers_or("limbs", body.limbs, most(limits::limbs_per_tree), limits::spurs_per_tree);
  v.demand(body.limbs.empty() ||
               std::accumulate(body.limbs.begin(), body.limbs.end(), 0L) == body.spurs,
           "limbs", "wrong_sum", "the limbs must add up to spurs");
  v.integer_or("seconds", body.seconds, limits::counting_seconds);
  v.integer_or("mend_seconds", body.mend_seconds, limits::counting_seconds);
}

void fields(FieldVisitor& v, CheckCount& body) {
  tree_fields(v, body.block, body.tree);
  v.integer("spurs", body.spurs, limits::spurs_per_tree);
  v.integer_or("seconds", body.seconds, limits::counting_seconds);
}

// A draw that cannot be, or other limbs than it drew, would make a tree of them that is not there.
void limb_fields(FieldVisitor& v, LimbCounts& counted) {
  orchard::LimbDraw& draw = counted.draw;
  v.integer("limbs_in_tree", draw.limbs, limits::limbs_numbered);
  v.integer("start", draw.start, limits::limbs_numbered_from);
  v.integer("step", draw.step, limits::limbs_numbered_from);
  v.integers_or("limbs", counted.limbs, most(limits::limbs_numbered), limits::spurs_per_tree);
  const base::Status fits = orchard::check_limb_draw(draw);
  const base::Error wrong = fits.ok() ? base::Error{} : fits.error();
  v.demand(fits.ok(), wrong.where.c_str(), "wrong_draw", wrong.what.c_str());
  v.demand(!fits.ok() || static_cast<int>(counted.limbs.size()) == draw.drawn(), "limbs",
           "wrong_draw", "must have one number for each limb drawn: start, start + step and so on");
  v.integer_or("seconds", counted.seconds, limits::counting_seconds);
}

void fields(FieldVisitor& v, PartCount& body) {
  tree_fields(v, body.block, body.tree);
  limb_fields(v, body.counted);
}

void fields(FieldVisitor& v, PartCheck& body) {
  tree_fields(v, body.block, body.tree);
  limb_fields(v, body.counted);
}

void fields(FieldVisitor& v, EyeScore& body) {
  tree_fields(v, body.block, body.tree);
  v.text_or("person", body.person, id_bytes_max);
  v.integer("spurs", body.spurs, limits::spurs_seen);
  v.integer_or("seconds", body.seconds, limits::counting_seconds);
}

void fields(FieldVisitor& v, TreeSize& body) {
  tree_fields(v, body.block, body.tree);
  v.choice("size", body.size, wire::size_classes);
  v.number_or("girth_mm", body.girth_mm, limits::trunk_girth_mm);
}

void fields(FieldVisitor& v, FrostSample& body) {
  tree_fields(v, body.block, body.tree);
  v.integer("bbch", body.bbch, limits::bbch);
  v.integer("alive", body.alive, limits::buds_per_branch);
  v.integer("killed", body.killed, limits::buds_per_branch);
}

void fields(FieldVisitor& v, Advice& body) {
  v.text("block", body.block, id_bytes_max);
  v.text("person", body.person, id_bytes_max);
  v.choice("direction", body.direction, wire::directions);
  v.integer_or("spurs_per_tree", body.spurs_per_tree_to_change, limits::spurs_per_tree);
  v.text_or("note", body.note, remark_bytes_max);
}

void fields(FieldVisitor& v, WorkSpell& body) {
  v.text("block", body.block, id_bytes_max);
  v.integer("trees", body.trees, limits::trees_worked);
  v.integer("minutes", body.minutes, limits::minutes_worked);
}

void fields(FieldVisitor& v, BlockProgress& body) {
  v.text("block", body.block, id_bytes_max);
  v.choice("step", body.step, wire::block_steps);
}

void fields(FieldVisitor& v, GrowthStage& body) {
  v.text("block", body.block, id_bytes_max);
  v.integer("bbch", body.bbch, limits::bbch);
}

void fields(FieldVisitor& v, ClusterCount& body) {
  tree_fields(v, body.block, body.tree);
  v.integer("floral_clusters", body.floral_clusters, limits::spurs_per_tree);
  v.integer_or("vegetative_spurs", body.vegetative_spurs, limits::spurs_per_tree);
}

void fields(FieldVisitor& v, PartClusters& body) {
  tree_fields(v, body.block, body.tree);
  limb_fields(v, body.counted);
  v.integer_or("vegetative_spurs", body.vegetative_spurs, limits::spurs_per_tree);
}

void fields(FieldVisitor& v, HarvestCount& body) {
  tree_fields(v, body.block, body.tree);
  v.integer("fruits", body.fruits, limits::fruits_counted);
  v.number_or("grams_per_fruit", body.grams_per_fruit, limits::fruit_grams);
}

void fields(FieldVisitor& v, ReturnBloom& body) {
  tree_fields(v, body.block, body.tree);
  v.integer("floral_spurs", body.floral_spurs, limits::spurs_per_tree);
  v.integer("spurs", body.spurs, limits::spurs_per_tree);
  v.demand(body.floral_spurs <= body.spurs, "floral_spurs", "out_of_range",
           "cannot be more than spurs");
}

void fields(FieldVisitor& v, ExerciseCount& body) {
  v.text("exercise", body.exercise, id_bytes_max);
  tree_fields(v, body.block, body.tree);
  v.integer("round", body.round, limits::exercise_round);
  v.integer("spurs", body.spurs, limits::spurs_per_tree);
}

void fields(FieldVisitor& v, Withdrawal& body) {
  v.text_or("reason", body.reason, remark_bytes_max);
}

void fields(FieldVisitor& v, VarietySettings& settings) {
  orchard::VarietyChange& variety = settings.variety;
  v.text("variety", variety.name, name_bytes_max);
  v.number_or("insurance_factor", variety.insurance_factor, limits::insurance_factor);
  v.number_or("fruits_per_cm2_low", variety.fruits_per_cm2_low, limits::fruits_per_cm2);
  v.number_or("fruits_per_cm2_high", variety.fruits_per_cm2_high, limits::fruits_per_cm2);
  v.demand(variety.fruits_per_cm2_low.value_or(limits::fruits_per_cm2.low) <=
               variety.fruits_per_cm2_high.value_or(limits::fruits_per_cm2.high),
           "fruits_per_cm2_low", "out_of_range", "cannot be more than fruits_per_cm2_high");
  v.number_or("seeds_per_fruit", variety.seeds_per_fruit, limits::seeds_per_fruit);
  v.choice_or("biennial_tendency", variety.biennial_tendency, wire::biennial_tendencies);
  v.choice_or("pruning_time", variety.pruning_time, wire::pruning_times);
  v.text_or("source", variety.source, remark_bytes_max);
}

void fields(FieldVisitor& v, Temperatures& body) {
  v.text("station", body.station, name_bytes_max);
  v.text("first_day", body.first_day, 10);
  demand_day(v, "first_day", body.first_day);
  v.integers_or("low_tenths_c", body.low_tenths_c, temperature_days_max, limits::tenths_c);
  v.integers_or("high_tenths_c", body.high_tenths_c, temperature_days_max, limits::tenths_c);
  v.demand(!body.first_day.empty() && !body.low_tenths_c.empty(), "low_tenths_c", "missing_field",
           "must have one number a day from first_day on");
  v.demand(body.low_tenths_c.size() == body.high_tenths_c.size(), "high_tenths_c", "wrong_length",
           "must have one number for each of low_tenths_c");
  bool ordered = true;
  for (std::size_t i = 0; i < std::min(body.low_tenths_c.size(), body.high_tenths_c.size()); ++i) {
    ordered = ordered && body.low_tenths_c[i] <= body.high_tenths_c[i];
  }
  v.demand(ordered, "low_tenths_c", "out_of_range", "cannot be above high_tenths_c");
}

void fields(FieldVisitor& v, SeasonClosed& body) {
  v.integer("year", body.year, limits::crop_year);
}

void fields(FieldVisitor& v, RowDone& body) {
  v.text("block", body.block, id_bytes_max);
  v.integer("row", body.row, limits::rows);
  v.text_or("person", body.person, id_bytes_max);
  v.integer_or("first_tree", body.first_tree, limits::trees_per_row);
  v.integer_or("last_tree", body.last_tree, limits::trees_per_row);
  v.demand(!body.last_tree || body.first_tree.value_or(1) <= *body.last_tree, "last_tree",
           "out_of_range", "cannot be before first_tree");
  v.choice_or("side", body.side, wire::row_sides);
  v.text_or("day", body.day, 10);
  demand_day(v, "day", body.day);
}

void fields(FieldVisitor& v, TreeState& body) {
  tree_fields(v, body.block, body.tree);
  v.choice("is", body.is, wire::tree_kinds);
}

void fields(FieldVisitor&, Unknown&) {}

}  // namespace

void body_fields(FieldVisitor& v, Body& body) {
  std::visit([&](auto& kind) { fields(v, kind); }, body);
}

}  // namespace nthtree::ledger
