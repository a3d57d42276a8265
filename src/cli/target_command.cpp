// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "advice/known/floral.h"
#include "base/text.h"
#include "base/arguments.h"
#include "cli/command.h"
#include "cli/json_out.h"
#include "cli/target_request.h"
#include "cli/text_files.h"
#include "cli/variety_presets.h"
#include "orchard/crop.h"
#include "orchard/target.h"
#include "orchard/units.h"

namespace nthtree::cli {

const char* const target_help =
    "usage: nthtree target [FILE] [--varieties FILE [--ledger FARM]] < block.json > target.json\n"
    "From a block's goal to the spurs to leave on a tree. JSON in, JSON out.\n"
    "\n"
    "The goal, exactly one of:\n"
    "  fruits_per_tree   a number\n"
    "  yield             {amount, unit, fruit_size: {count_per_box | grams | diameter_mm},\n"
    "                    box_kg, bin_kg, pack_out_fraction}; or a number, with unit and the\n"
    "                    others beside it (count_per_box, fruit_grams or fruit_diameter_mm)\n"
    "                    unit: boxes_per_acre, boxes_per_ha, bins_per_acre, bins_per_ha,\n"
    "                    kg_per_acre, kg_per_ha, t_per_acre, t_per_ha, lb_per_acre,\n"
    "                    bushels_per_acre, bushels_per_ha (of 42 lb)\n"
    "  trunk             {girth_mm | diameter_mm, fruits_per_cm2}\n"
    "The floral fraction, exactly one of:\n"
    "  floral_fraction   0.01 to 1, with floral_fraction_low and _high where known\n"
    "  floral_buds, vegetative_buds   two lists, one item a branch, branches_per_tree of each\n"
    "                    tree (1 where not given, with a warning), or two sums\n"
    "  branches          [{tree, position: upper | lower, floral, vegetative}, …]\n"
    "And: insurance_factor (1.5), row_spacing_m and tree_spacing_m (or _ft; only a yield needs\n"
    "them), flowers_per_spur (5), seeds_per_fruit (10), tolerance_fraction (0.15).\n"
    "For spurs on a limb and a branch: limbs_per_tree, bearing_branches_per_tree.\n"
    "For what is to come off: unpruned_spurs_per_tree, limbs_per_tree, fruitlets_per_spur (1),\n"
    "hand_thinning_fruitlets_per_hour (1000).\n"
    "With --varieties (assets/varieties.json), a variety named in the block gives\n"
    "insurance_factor and seeds_per_fruit where the block itself does not; with --ledger, as this\n"
    "farm set them.\n"
    "A block's settings as they stand in a ledger are understood too.\n"
    "\n"
    "  echo '{\"fruits_per_tree\": 73, \"insurance_factor\": 1.8, \"floral_fraction\": 0.9}' |\n"
    "    nthtree target\n"
    "\n"
    "Each step is rounded to whole spurs as on paper (half up): 73 × 1.8 = 131, 131 ÷ 0.9 = 146.\n"
    "Intervals are of 90 %. Low and high stand only where the floral fraction has an interval.\n";

namespace {

constexpr std::size_t text_bytes_max = 1 << 20;

// The yield's amount stands under "yield" itself where it was given flat.
base::Error named_as_given(base::Error error, const TargetRequest& request) {
  if (request.yield_is_flat && error.where == "yield.amount") error.where = "yield";
  return error;
}

const char* warning_name(advice::FloralWarning warning) {
  switch (warning) {
    case advice::FloralWarning::none: break;
    case advice::FloralWarning::one_tree_only: return "one_tree_only";
    case advice::FloralWarning::few_buds: return "few_buds";
    case advice::FloralWarning::upper_lower_apart: return "upper_lower_apart";
    case advice::FloralWarning::one_position_only: return "one_position_only";
  }
  return "none";
}

advice::FloralFraction dissected(const std::vector<ledger::BudSample>& branches) {
  ledger::BlockSeason block;
  std::uint64_t sequence = 0;
  for (const auto& branch : branches) {
    ledger::Entry<ledger::BudSample> entry;
    entry.position.id.sequence = ++sequence;
    entry.body = branch;
    block.bud_samples.push_back(entry);
  }
  return advice::floral_fraction(block);
}

Json sample_json(const advice::FloralFraction& floral) {
  Json sample;
  sample["trees"] = floral.trees;
  sample["branches"] = floral.branches;
  sample["buds"] = floral.buds;
  sample["design_effect"] = number(floral.design_effect);
  sample["effective_buds"] = number(floral.effective_buds);
  sample["standard_error"] = number(floral.standard_error);
  sample["branches_more"] = floral.branches_more;
  sample["branches_for_verdicts"] = floral.branches_for_verdicts;
  sample["warnings"] = Json::array();
  for (const auto warning : floral.warnings) sample["warnings"].push_back(warning_name(warning));
  return sample;
}

// What leaving an unpruned tree alone would mean, and what is to come off it.
Json unpruned_json(const orchard::Target& target, const TargetRequest& request) {
  const double spurs = *request.unpruned_spurs_per_tree;
  const double leave = target.spurs_to_leave_per_tree.value;
  const double flowering = spurs * target.floral_fraction.value;
  const double take = std::max(0.0, spurs - leave);
  const double fruitlets = orchard::fruitlets_to_thin(flowering, request.fruitlets_per_spur,
                                                      target.fruits_per_tree);
  Json out;
  out["spurs_per_tree"] = number(spurs);
  out["over_target_fraction"] = number(orchard::share_over_target(spurs, leave));
  out["spurs_to_take_per_tree"] = number(take);
  out["limbs_worth_to_take"] = request.limbs_per_tree > 0
      ? number(orchard::limbs_that_carry(take, spurs, request.limbs_per_tree)) : Json();
  out["seeds_per_tree_at_bloom"] = number(orchard::seeds_at_bloom(
      flowering, request.input.flowers_per_spur, request.input.seeds_per_fruit));
  out["fruitlets_to_thin_per_tree"] = number(fruitlets);
  out["thinning_hours_per_ha"] = request.spacing
      ? number(orchard::thinning_hours(fruitlets, target.trees_per_ha,
                                       request.hand_thinning_fruitlets_per_hour)) : Json();
  return out;
}

// Fills what the block leaves open from the presets of its variety.
base::Status fill_from_varieties(const std::string& path, const std::string& ledger,
                                 TargetRequest& request) {
  const auto varieties = read_presets(path, ledger, "");
  if (!varieties) return varieties.error();
  if (request.variety.empty()) {
    return base::Error{"missing_field", "is missing: --varieties needs it", "variety"};
  }
  const auto variety = preset_of(*varieties, request.variety, "variety");
  if (!variety) return variety.error();
  if (!request.has_insurance_factor) request.input.insurance_factor = variety->insurance_factor;
  if (!request.has_seeds_per_fruit) request.input.seeds_per_fruit = variety->seeds_per_fruit;
  return base::Ok{};
}

// The same spurs by what the hands hold: whole limbs, and the branches that bear.
void put_parts_of_tree(Json& out, const orchard::Target& target, const TargetRequest& request) {
  const auto put = [&](const char* part, double parts) {
    const std::string by = std::string("_per_") + part;
    out["spurs_to_leave" + by] =
        parts > 0 ? number(target.spurs_to_leave_per_tree.value / parts) : Json();
    out["flowering_spurs" + by] =
        parts > 0 ? number(target.flowering_spurs_per_tree / parts) : Json();
  };
  put("limb", request.limbs_per_tree);
  put("branch", request.bearing_branches_per_tree.value_or(0));
}

// A yield goal in what the trade counts: boxes of the farm's own weight, and bushels of 42 lb.
void put_packed(Json& out, const TargetRequest& request) {
  if (!request.input.yield) return;
  const orchard::YieldGoal& goal = *request.input.yield;
  const double kg_per_ha = goal.amount * orchard::kg_of_unit(goal) *
                           (orchard::is_per_acre(goal.unit) ? orchard::acres_per_ha : 1);
  const double kg_per_acre = orchard::per_acre_from_per_ha(kg_per_ha);
  out["packed_boxes_per_acre"] = number(kg_per_acre / goal.box_kg);
  out["packed_bushels_per_acre"] = number(kg_per_acre / orchard::kg_per_bushel);
  out["packed_boxes_per_ha"] = number(kg_per_ha / goal.box_kg);
  out["packed_bushels_per_ha"] = number(kg_per_ha / orchard::kg_per_bushel);
}

Json target_json(const orchard::Target& target, const TargetRequest& request, bool has_interval) {
  Json out;
  const bool has_spacing = request.spacing.has_value();
  out["trees_per_acre"] = has_spacing ? number(target.trees_per_acre) : Json();
  out["trees_per_ha"] = has_spacing ? number(target.trees_per_ha) : Json();
  out["fruits_per_tree"] = number(target.fruits_per_tree);
  out["insurance_factor"] = number(request.input.insurance_factor);
  out["flowering_spurs_per_tree"] = number(target.flowering_spurs_per_tree);
  out["flowering_spurs_exact"] = number(target.flowering_spurs_exact);
  if (has_interval) {
    put_estimate(out, "floral_fraction", target.floral_fraction);
    put_estimate(out, "spurs_to_leave_per_tree", target.spurs_to_leave_per_tree);
  } else {
    out["floral_fraction"] = number(target.floral_fraction.value);
    out["spurs_to_leave_per_tree"] = number(target.spurs_to_leave_per_tree.value);
  }
  out["spurs_to_leave_exact"] = number(target.spurs_to_leave_exact.value);
  const double spurs = target.spurs_to_leave_per_tree.value;
  put_parts_of_tree(out, target, request);
  put_packed(out, request);
  out["tolerance_fraction"] = number(request.tolerance_fraction);
  out["band_low"] = number(spurs * (1 - request.tolerance_fraction));
  out["band_high"] = number(spurs * (1 + request.tolerance_fraction));
  out["seeds_per_tree_at_bloom"] = number(target.seeds_per_tree_at_bloom);
  const auto years = orchard::on_and_off_year(target.flowering_spurs_per_tree);
  out["on_year"] = {{"floral_fraction", number(years.on_floral_fraction)},
                    {"spurs_to_leave_per_tree", number(years.on_spurs_to_leave)}};
  out["off_year"] = {{"floral_fraction", number(years.off_floral_fraction)},
                     {"spurs_to_leave_per_tree", number(years.off_spurs_to_leave)}};
  return out;
}

}  // namespace

Outcome target_command(const Words& words) {
  const auto arguments = read_arguments(words, {{"--varieties", true}, {"--ledger", true}}, 0, 1);
  if (!arguments) return refused(arguments.error());
  if (arguments->has("--ledger") && !arguments->has("--varieties")) {
    return refused("--ledger: needs --varieties: it changes what those say");
  }
  const auto text = read_text(arguments->rest.empty() ? "-" : arguments->rest[0], text_bytes_max);
  if (!text) return refused(text.error());
  auto request = read_target_request(*text);
  if (!request) return refused(request.error());
  if (arguments->has("--varieties")) {
    const auto filled = fill_from_varieties(arguments->value("--varieties"),
                                            arguments->value("--ledger"), *request);
    if (!filled) return refused(filled.error());
  }

  std::optional<orchard::Estimate> floral = request->floral_interval;
  std::optional<advice::FloralFraction> sample;
  if (!request->branches.empty()) {
    sample = dissected(request->branches);
    floral = sample->fraction;
  }
  const auto target = orchard::work_out_target(request->input, request->spacing, floral);
  if (!target) return refused(named_as_given(target.error(), *request));

  Outcome outcome;
  for (const std::string& field : request->unused_fields) {
    outcome.err += "warning: the field " + Json(field).dump(-1, ' ', false,
        Json::error_handler_t::replace) + " is not known and was not used\n";
  }
  if (request->branches_taken_as_trees) {
    outcome.err += base::print(
        "warning: branches_per_tree is not given: each of the %zu branches is taken for a tree of "
        "its own; where some are of one tree, the interval is too narrow\n",
        request->branches.size());
  }
  Json out = target_json(*target, *request, floral.has_value());
  if (request->unpruned_spurs_per_tree) out["unpruned"] = unpruned_json(*target, *request);
  if (sample) out["floral_sample"] = sample_json(*sample);
  outcome.out = text_of(out);
  return outcome;
}

}  // namespace nthtree::cli
