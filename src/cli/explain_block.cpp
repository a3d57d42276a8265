// SPDX-License-Identifier: Apache-2.0
// The block as a whole: mean, acceptance, the rest, trees to go back to and to count again; pace
// and cost.
#include <algorithm>
#include <cmath>
#include <map>

#include "advice/judged/acceptance.h"
#include "advice/review/cost.h"
#include "advice/known/counting_bias.h"
#include "advice/internal/fruit_mass.h"
#include "advice/internal/live.h"
#include "advice/review/pace.h"
#include "advice/next/recount_worklist.h"
#include "advice/judged/standing.h"
#include "base/text.h"
#include "cli/explain_steps.h"
#include "cli/reason_text.h"
#include "cli/text_table.h"

namespace nthtree::cli {
namespace {

constexpr std::size_t trees_shown = 5;

// Trees pruned by each, from the spells of work: the weights of the block's mean.
std::map<std::string, double> trees_pruned(const ExplainedBlock& it) {
  std::map<std::string, double> trees;
  for (const auto& entry : it.block->work_spells) {
    if (!entry.withdrawn) trees[entry.author] += entry.body.trees;
  }
  return trees;
}

std::string range_told(const orchard::Estimate& estimate) {
  return "(" + plain(estimate.low) + " to " + plain(estimate.high) + ", the target's own inside)";
}

std::string day_text(std::int64_t day) {
  return base::iso_minute(day * 24 * 3600 * 1000).substr(0, 10);
}

// The interval of the mean: each pruner's own part, and what the crew's re-counts leave open.
void explain_mean(const ExplainedBlock& it, const advice::Standing& block,
                  const std::string& parts, const advice::Acceptance& done, Worksheet& sheet) {
  const double bias = advice::counting_bias(it.farm->season, it.farm->now_ms).crew_log_mean_sd;
  const double target = block.target_log_sd;
  const double sd = std::sqrt(std::max(0.0, block.own.sd * block.own.sd - target * target));
  sheet.equation("standard deviation of its ln", "√(" + parts + " + " + num(bias) + " × " +
                 num(bias) + ")", sd, "(" + num(bias) + ": what the crew misses, shared by all)");
  const std::string t = "t(0.95; " + num(std::max(1.0, block.tree_df)) + ") × " + num(sd);
  sheet.equation("90 % interval, low", num(done.mean.value) + " × exp(0 - " + t + ")",
                 done.mean.low);
  sheet.equation("90 % interval, high", num(done.mean.value) + " × exp(" + t + ")",
                 done.mean.high);
  sheet.line(base::print("band %s to %s", plain(done.band_low).c_str(),
                         plain(done.band_high).c_str()));
}

// Single trees about the mean, log-normal: a tree's ln lies half a variance below the mean's.
void explain_shares(const advice::Standing& block, double tolerance,
                    const advice::Acceptance& done, Worksheet& sheet) {
  const std::string s = num(block.tree_log_sd);
  const std::string centre = num(block.own.mean) + " - " + s + " × " + s + " ÷ 2";
  sheet.equation("share of trees over the band", "N((" + centre + " - ln(1 + " + num(tolerance) +
                 ")) ÷ " + s + ")", done.share_over, "(trees differ by " + s + ")");
  sheet.equation("share of trees under the band", "N((ln(1 - " + num(tolerance) + ") - (" +
                 centre + ")) ÷ " + s + ")", done.share_under);
  sheet.line(base::print("trees outside the band: %.0f %% (%.0f to %.0f %%)",
                         100 * done.share_out_of_band.value, 100 * done.share_out_of_band.low,
                         100 * done.share_out_of_band.high));
}

// Two one-sided tests on the log scale; the target's own uncertainty is inside.
void explain_acceptance(const advice::Standing& block, double tolerance,
                        const advice::Acceptance& done, Worksheet& sheet) {
  const std::string m = num(block.own.mean), sd = num(block.own.sd);
  const std::string df = num(std::max(1.0, block.tree_df));
  const double low = std::log1p(-tolerance), high = std::log1p(tolerance);
  sheet.line("ln(mean ÷ target) " + plain(block.own.mean) + ", standard deviation " +
             plain(block.own.sd) + ", counting and target inside");
  sheet.equation("two one-sided tests, larger p", "max(T((" + num(low) + " - " + m + ") ÷ " + sd +
                 "; " + df + "); T((" + m + " - " + num(high) + ") ÷ " + sd + "; " + df + "))",
                 done.tost_p, "(accepted at 0.05 and under)");
  sheet.line("acceptance: " + word_of(done.kind) + "; " + sentence(done.reason));
}

void explain_rest(const advice::Acceptance& done, Worksheet& sheet) {
  if (done.trees <= done.trees_done) return;
  const double all = static_cast<double>(done.trees), so_far = double(done.trees_done);
  const std::string formula = "max(0; (" + num(all) + " × " + num(done.target) + " - " +
                              num(so_far) + " × " + num(done.mean.value) + ") ÷ " +
                              num(all - so_far) + ")";
  sheet.equation("each tree still to prune, for the whole to land on target", formula,
                 done.rest_per_tree.value,
                 base::print("(%s to %s)", plain(done.rest_per_tree.low).c_str(),
                             plain(done.rest_per_tree.high).c_str()));
  if (!done.rest_possible) {
    sheet.line("that cannot be reached: it is less than none, or more than unpruned trees carry");
  }
}

// What the first tree of the list is worth: the thinning of what is over, less the walk back.
void explain_worth(const ExplainedBlock& it, const advice::Revisit& tree, Worksheet& sheet) {
  const auto& farm = it.farm->season.farm();
  if (!(farm.wage_per_hour > 0) || !(farm.hand_thinning_fruitlets_per_hour > 0)) return;
  const std::string wage = num(farm.wage_per_hour);
  sheet.equation("worth of the first", num(tree.over) + " × " +
                 num(it.target.target.floral_fraction.value) + " ÷ " +
                 num(farm.hand_thinning_fruitlets_per_hour) + " × " + wage + " - " + wage +
                 " × " + num(advice::minutes_to_walk_back) + " ÷ 60", tree.value,
                 "(spurs over × floral ÷ thinned an hour × wage, less the walk)");
}

void explain_trees_to_see(const ExplainedBlock& it, const advice::Acceptance& done,
                          Worksheet& sheet) {
  if (!done.revisit.empty()) {
    TextTable table({"row", "tree", "pruner", ">over target", ">worth"});
    for (std::size_t i = 0; i < std::min(trees_shown, done.revisit.size()); ++i) {
      const advice::Revisit& tree = done.revisit[i];
      table.row({std::to_string(tree.tree.row), std::to_string(tree.tree.tree),
                 who(it, tree.person), base::print("%.0f", tree.over),
                 base::print("%.2f", tree.value)});
    }
    sheet.line(base::print("trees to go back to, best first (%zu in all); worth is the thinning "
                           "saved less the walk, or spurs where no rates are set",
                           done.revisit.size()));
    sheet.block(table.text("    "));
    explain_worth(it, done.revisit.front(), sheet);
  }
  const auto list = advice::recount_worklist(it.farm->season, it.block->id, it.farm->now_ms,
                                             static_cast<int>(trees_shown));
  if (list.empty()) return;
  TextTable table({"row", "tree", "pruner", ">gain", "why"});
  for (const advice::Recount& recount : list) {
    table.row({std::to_string(recount.tree.row), std::to_string(recount.tree.tree),
               who(it, recount.person), base::print("%.2f", recount.gain),
               sentence(recount.reason)});
  }
  sheet.line("tags most worth a re-count; the gain is in counts that it saves");
  sheet.block(table.text("    "));
  const advice::GainTerms& first = list.front().terms;
  const std::string level = num(first.level_variance);
  sheet.equation("gain of the first", num(first.weight) + " × " + num(first.odd) + " × " +
                 num(first.count_variance) + " × (1 ÷ (" + level + " + " + num(first.bias_after) +
                 ") - 1 ÷ (" + level + " + " + num(first.bias_before) + "))", list.front().gain,
                 "(doubt × odd number × variance of a count × what the level gains: its own "
                 "variance, with the counting ratio's after and before)");
}

// Hours, days and the chance to be done by green tip, all from the crew's trees an hour.
void explain_finish(const ExplainedBlock& it, const advice::Pace& pace, Worksheet& sheet) {
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
  if (!(pace.people > 0)) return;
  const double a_day = std::max(0.5, it.farm->season.farm().hours_per_day);
  const std::string crew = num(pace.people) + " × " + num(a_day);
  sheet.equation("days of work left", num(pace.hours_left.value) + " ÷ (" + crew + ")",
                 pace.hours_left.value / (pace.people * a_day),
                 base::print("with %.0f people: done about %s (%s to %s)", pace.people,
                             day_text(pace.finish_day).c_str(),
                             day_text(pace.finish_day_early).c_str(),
                             day_text(pace.finish_day_late).c_str()));
  if (!pace.has_green_tip) return;
  const double days = static_cast<double>(pace.green_tip_day -
                                          it.farm->season.day_of(it.farm->now_ms));
  sheet.line(base::print("green tip %s, in %.0f days", day_text(pace.green_tip_day).c_str(), days));
  if (days <= 0) return;
  const double log_sd = std::log(rate.high / rate.low) / (2 * advice::z_90);
  sheet.equation("standard deviation of ln(rate)", "ln(" + num(rate.high) + " ÷ " +
                 num(rate.low) + ") ÷ (2 × " + num(advice::z_90) + ")", log_sd);
  sheet.equation("chance to be done by then", "N(ln(" + crew + " × " + num(days) + " ÷ " +
                 num(pace.hours_left.value) + ") ÷ " + num(log_sd) + ")",
                 pace.probability_in_time);
  sheet.equation("people needed to be done by then", num(pace.hours_left.value) + " ÷ (" +
                 num(days) + " × " + num(a_day) + ")", pace.people_needed);
}

}  // namespace

void explain_block(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("The block as a whole");
  const auto done = advice::accept_block(it.farm->season, it.block->id, it.farm->now_ms);
  if (done.counts == 0) return sheet.line("nothing counted yet");
  const auto standings = advice::block_standings(it.farm->season, it.block->id, it.farm->now_ms);
  const auto pruned = trees_pruned(it);
  std::string above, below, squares;
  TextTable table({"pruner", ">trees pruned", ">spurs left ÷ target", ">variance of its ln"});
  for (const auto& s : standings.pruners) {
    const auto found = pruned.find(s.person);
    const double trees = found != pruned.end() && found->second > 0
                             ? found->second
                             : std::max(1, s.counts + s.counts_before) * it.block->block->stride;
    const double level = std::exp(s.own.mean);
    const double variance = s.own.sd * s.own.sd - s.target_log_sd * s.target_log_sd;
    const std::string part = num(trees) + " × " + num(level);
    above += (above.empty() ? "" : " + ") + part;
    below += (below.empty() ? "" : " + ") + num(trees);
    squares += (squares.empty() ? "" : " + ") + part + " × " + part + " × " + num(variance);
    table.row({who(it, s.person), plain(trees), plain(level), plain(variance)});
  }
  sheet.block(table.text("  "));
  sheet.line("trees pruned: from the spells of work; where none was noted, counts × stride");
  sheet.equation("mean spurs on a tree", num(done.target) + " × (" + above + ") ÷ (" + below + ")",
                 done.mean.value);
  explain_mean(it, standings.block_standing, "(" + squares + ") ÷ ((" + above + ") × (" + above +
               "))", done, sheet);
  explain_acceptance(standings.block_standing, it.block->block->tolerance_fraction, done, sheet);
  explain_shares(standings.block_standing, it.block->block->tolerance_fraction, done, sheet);
  explain_rest(done, sheet);
  explain_trees_to_see(it, done, sheet);
}

void explain_pace(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("Time and money");
  const auto pace = advice::pace_of(it.farm->season, it.block->id, it.farm->now_ms);
  sheet.equation("trees left", num(double(pace.trees)) + " - " + num(double(pace.trees_done)),
                 double(pace.trees_left));
  if (pace.trees_left > 0 && pace.hours_left.value > 0) explain_finish(it, pace, sheet);
  const auto cost = advice::cost_of(it.farm->season, it.block->id, it.farm->now_ms);
  if (!cost.known || !cost.has_rates) return sheet.line("no rates are set, or nothing is counted");
  const auto& farm = it.farm->season.farm();
  const double trees = static_cast<double>(it.block->block->trees());
  const double floral = it.target.target.floral_fraction.value;
  sheet.equation("one spur too many on every tree costs", num(floral) + " × " + num(trees) +
                 " ÷ " + num(farm.hand_thinning_fruitlets_per_hour) + " × " +
                 num(farm.wage_per_hour), cost.cost_per_spur_over, "(to thin by hand)");
  const auto& input = it.block->block->target;
  sheet.equation("one spur too few on every tree costs", num(floral) + " ÷ " +
                 num(input.insurance_factor) + " × " + num(trees) + " × " +
                 num(advice::fruit_kg(input)) + " × " + num(farm.fruit_price_per_kg),
                 cost.cost_per_spur_short, "(fruit that does not grow: kg each, price)");
  const auto done = advice::accept_block(it.farm->season, it.block->id, it.farm->now_ms);
  const std::string mean = num(done.mean.value), leave = num(done.target);
  sheet.equation("spurs too many on a tree", "max(0; " + mean + " - " + leave + ")",
                 cost.excess_spurs_per_tree.value);
  sheet.equation("spurs too few on a tree", "max(0; " + leave + " - " + mean + ")",
                 cost.short_spurs_per_tree.value);
  sheet.equation("thinning at the present mean", num(cost.excess_spurs_per_tree.value) + " × " +
                 num(cost.cost_per_spur_over), cost.thinning_cost.value,
                 range_told(cost.thinning_cost));
  sheet.equation("crop lost at the present mean", num(cost.short_spurs_per_tree.value) + " × " +
                 num(cost.cost_per_spur_short), cost.crop_lost_value.value,
                 range_told(cost.crop_lost_value));
}

}  // namespace nthtree::cli
