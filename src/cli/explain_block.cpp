// SPDX-License-Identifier: Apache-2.0
// The block as a whole: mean, acceptance, the rest, trees to go back to and to count again; pace
// and cost.
#include <algorithm>
#include <cmath>
#include <map>

#include "advice/acceptance.h"
#include "advice/cost.h"
#include "advice/fruit_mass.h"
#include "advice/pace.h"
#include "advice/recount_worklist.h"
#include "advice/standing.h"
#include "base/text.h"
#include "cli/explain_steps.h"
#include "cli/reason_text.h"
#include "cli/text_table.h"

namespace nthtree::cli {
namespace {

constexpr std::size_t trees_shown = 5;

std::string who(const ExplainedBlock& it, const std::string& person) {
  const orchard::Person* found = it.farm->season.person(person);
  return found ? person + " " + found->name : person;
}

// Trees pruned by each, from the spells of work: the weights of the block's mean.
std::map<std::string, double> trees_pruned(const ExplainedBlock& it) {
  std::map<std::string, double> trees;
  for (const auto& entry : it.block->work_spells) {
    if (!entry.withdrawn) trees[entry.author] += entry.body.trees;
  }
  return trees;
}

std::string day_text(std::int64_t day) {
  return base::iso_minute(day * 24 * 3600 * 1000).substr(0, 10);
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
}

}  // namespace

void explain_block(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("The block as a whole");
  const auto done = advice::accept_block(it.farm->season, it.block->id, it.farm->now_ms);
  if (done.counts == 0) return sheet.line("nothing counted yet");
  const auto standings = advice::block_standings(it.farm->season, it.block->id, it.farm->now_ms);
  const auto pruned = trees_pruned(it);
  std::string above, below;
  TextTable table({"pruner", ">trees pruned", ">spurs left ÷ target"});
  for (const auto& s : standings.pruners) {
    const auto found = pruned.find(s.person);
    const double trees = found != pruned.end() && found->second > 0
                             ? found->second : std::max(1, s.counts + s.counts_before);
    const double level = std::exp(s.own.mean);
    above += (above.empty() ? "" : " + ") + num(trees) + " × " + num(level);
    below += (below.empty() ? "" : " + ") + num(trees);
    table.row({who(it, s.person), plain(trees), plain(level)});
  }
  sheet.block(table.text("  "));
  sheet.equation("mean spurs on a tree", num(done.target) + " × (" + above + ") ÷ (" + below + ")",
                 done.mean.value);
  sheet.line(base::print("90 %% interval %s to %s; band %s to %s", plain(done.mean.low).c_str(),
                         plain(done.mean.high).c_str(), plain(done.band_low).c_str(),
                         plain(done.band_high).c_str()));
  explain_acceptance(standings.block_standing, it.block->block->tolerance_fraction, done, sheet);
  sheet.line(base::print("trees outside the band: %.0f %% (%.0f %% over, %.0f %% under)",
                         100 * done.share_out_of_band.value, 100 * done.share_over,
                         100 * done.share_under));
  if (done.rest_per_tree.value >= 0 && done.trees > done.trees_done && done.rest_possible) {
    const double all = static_cast<double>(done.trees), so_far = double(done.trees_done);
    sheet.equation("each tree still to prune, for the whole to land on target",
                   "(" + num(all) + " × " + num(done.target) + " - " + num(so_far) + " × " +
                   num(done.mean.value) + ") ÷ " + num(all - so_far), done.rest_per_tree.value);
  }
  explain_trees_to_see(it, done, sheet);
}

void explain_pace(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("Time and money");
  const auto pace = advice::pace_of(it.farm->season, it.block->id, it.farm->now_ms);
  sheet.equation("trees left", num(double(pace.trees)) + " - " + num(double(pace.trees_done)),
                 double(pace.trees_left));
  if (pace.trees_left > 0 && pace.hours_left.value > 0) {
    sheet.equation("hours left", num(double(pace.trees_left)) + " ÷ " +
                   num(pace.trees_per_hour.value), pace.hours_left.value,
                   base::print("(%s to %s)", plain(pace.hours_left.low).c_str(),
                               plain(pace.hours_left.high).c_str()));
    if (pace.finish_day > 0) {
      sheet.line(base::print("with %.0f people: done about %s (%s to %s)%s", pace.people,
                             day_text(pace.finish_day).c_str(),
                             day_text(pace.finish_day_early).c_str(),
                             day_text(pace.finish_day_late).c_str(),
                             pace.has_green_tip ? (", green tip " + day_text(pace.green_tip_day))
                                                      .c_str() : ""));
    }
  }
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
  sheet.equation("thinning at the present mean", num(cost.excess_spurs_per_tree.value) + " × " +
                 num(cost.cost_per_spur_over), cost.thinning_cost.value);
  sheet.equation("crop lost at the present mean", num(cost.short_spurs_per_tree.value) + " × " +
                 num(cost.cost_per_spur_short), cost.crop_lost_value.value);
}

}  // namespace nthtree::cli
