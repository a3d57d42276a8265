// SPDX-License-Identifier: Apache-2.0
// Time and money: hours left against green tip, and what being off target costs.
#include <algorithm>

#include "advice/judged/acceptance.h"
#include "advice/review/cost.h"
#include "advice/review/pace.h"
#include "base/text.h"
#include "cli/explain/steps.h"
#include "cli/text_table.h"
#include "orchard/units.h"

namespace nthtree::cli {
namespace {

std::string range_told(const orchard::Estimate& estimate) {
  return "(" + plain(estimate.low) + " to " + plain(estimate.high) + ", the target's own inside)";
}

void explain_hours(const ExplainedBlock& it, const advice::Pace& pace, Worksheet& sheet) {
  TextTable table({"pruner", ">trees", ">hours", ">trees an hour, 90 %"});
  for (const auto& one : pace.pruners) {
    table.row({who(it, one.person), std::to_string(one.trees), plain(one.hours),
               base::print("%.1f (%.1f to %.1f)", one.trees_per_hour.value,
                           one.trees_per_hour.low, one.trees_per_hour.high)});
  }
  sheet.block(table.text("    "));
  const orchard::Estimate& rate = pace.trees_per_hour;
  const std::string left = num(double(pace.trees_left));
  sheet.line(base::print("one of the crew: %s trees an hour (%s to %s)", plain(rate.value).c_str(),
                         plain(rate.low).c_str(), plain(rate.high).c_str()));
  sheet.equation("hours left", left + " ÷ " + num(rate.value), pace.hours_left.value);
  sheet.equation("hours left, at least", left + " ÷ " + num(rate.high), pace.hours_left.low);
  sheet.equation("hours left, at most", left + " ÷ " + num(rate.low), pace.hours_left.high);
}

// Days of work, and the chance to be done by green tip, from the crew's trees an hour.
void explain_finish(const ExplainedBlock& it, const advice::Pace& pace, Worksheet& sheet) {
  if (!(pace.people > 0)) return;
  const double a_day = std::max(0.5, it.farm->season.farm().hours_per_day);
  const std::string crew = num(pace.people) + " × " + num(a_day);
  sheet.equation("days of work left", num(pace.hours_left.value) + " ÷ (" + crew + ")",
                 pace.hours_left.value / (pace.people * a_day),
                 "with " + counted(pace.people, "person", "people") + ": done about " +
                 day_text(pace.finish_day) + " (" + day_text(pace.finish_day_early) + " to " +
                 day_text(pace.finish_day_late) + ")");
  if (!pace.has_green_tip) return;
  const double days = static_cast<double>(pace.green_tip_day -
                                          it.farm->season.day_of(it.farm->now_ms));
  sheet.line("green tip " + day_text(pace.green_tip_day) + ", in " + counted(days, "day"));
  if (days <= 0) return;
  const orchard::Estimate& rate = pace.trees_per_hour;
  sheet.equation("standard deviation of ln(rate)", "ln(" + num(rate.high) + " ÷ " +
                 num(rate.low) + ") ÷ (2 × z(0.95))", pace.rate_log_sd);
  sheet.equation("chance to be done by then", "N(ln(" + crew + " × " + num(days) + " ÷ " +
                 num(pace.hours_left.value) + ") ÷ " + num(pace.rate_log_sd) + ")",
                 pace.probability_in_time);
  sheet.equation("people needed to be done by then", num(pace.hours_left.value) + " ÷ (" +
                 num(days) + " × " + num(a_day) + ")", pace.people_needed);
}

// What one spur off on every tree costs, in the farm's own money and weight.
void explain_spur(const ExplainedBlock& it, const advice::Cost& cost, Worksheet& sheet) {
  const auto& farm = it.farm->season.farm();
  const std::string trees = num(it.bearing_trees());
  const std::string floral = num(it.target.target.floral_fraction.value);
  sheet.equation("one spur too many on every tree costs", floral + " × " + trees + " ÷ " +
                 num(farm.hand_thinning_fruitlets_per_hour) + " × " + num(farm.wage_per_hour),
                 cost.cost_per_spur_over, "(to thin by hand: fruitlets an hour, wage)");
  const double mass = it.us() ? orchard::kg_per_lb : 1;
  sheet.equation("one spur too few on every tree costs", floral + " ÷ " +
                 num(it.block->block->target.insurance_factor) + " × " + trees + " × " +
                 num(cost.kg_per_fruit / mass) + " × " + num(farm.fruit_price_per_kg * mass),
                 cost.cost_per_spur_short, std::string("(fruit that does not grow: ") +
                 (it.us() ? "lb" : "kg") + " each, price)");
}

void explain_cost(const ExplainedBlock& it, const advice::Cost& cost, Worksheet& sheet) {
  if (!cost.known || !cost.has_rates) return sheet.line("no rates are set, or nothing is counted");
  explain_spur(it, cost, sheet);
  const auto done = advice::accept_block(it.farm->season, it.block->id, it.farm->now_ms);
  const std::string mean = num(done.mean.value), leave = num(done.target);
  const std::string over = num(cost.excess_spurs_per_tree.value);
  const std::string under = num(cost.short_spurs_per_tree.value);
  sheet.equation("spurs too many on a tree", "max(0; " + mean + " - " + leave + ")",
                 cost.excess_spurs_per_tree.value);
  sheet.equation("spurs too few on a tree", "max(0; " + leave + " - " + mean + ")",
                 cost.short_spurs_per_tree.value);
  sheet.equation("thinning at the present mean", over + " × " + num(cost.cost_per_spur_over),
                 cost.thinning_cost.value, range_told(cost.thinning_cost));
  sheet.equation("crop lost at the present mean", under + " × " + num(cost.cost_per_spur_short),
                 cost.crop_lost_value.value, range_told(cost.crop_lost_value));
}

}  // namespace

void explain_pace(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("Time and money");
  const auto pace = advice::pace_of(it.farm->season, it.block->id, it.farm->now_ms);
  sheet.equation("trees left", num(double(pace.trees)) + " - " + num(double(pace.trees_done)),
                 double(pace.trees_left));
  if (pace.trees_left > 0 && pace.hours_left.value > 0) {
    explain_hours(it, pace, sheet);
    explain_finish(it, pace, sheet);
  }
  explain_cost(it, advice::cost_of(it.farm->season, it.block->id, it.farm->now_ms), sheet);
}

}  // namespace nthtree::cli
