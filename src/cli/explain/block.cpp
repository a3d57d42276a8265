// SPDX-License-Identifier: Apache-2.0
// The block as a whole: mean, acceptance, the rest, trees to go back to and to count again.
#include <algorithm>
#include <cmath>

#include "advice/worksheet/block_sheet.h"
#include "base/text.h"
#include "cli/explain/steps.h"
#include "cli/reason_text.h"
#include "cli/text_table.h"

namespace nthtree::cli {
namespace {

constexpr int trees_shown = 5;

std::string in_percent(double share) { return base::print("%.0f", 100 * share); }

// Each pruner's part, and the mean weighed by trees pruned.
void explain_mean(const ExplainedBlock& it, const advice::BlockSheet& work, Worksheet& sheet) {
  const advice::Acceptance& done = work.acceptance;
  std::string above, below, squares;
  TextTable table({"pruner", ">trees pruned", ">spurs left ÷ target", ">variance of its ln"});
  for (const advice::PrunerPart& one : work.pruners) {
    const std::string part = num(one.trees) + " × " + num(one.level);
    const std::string plus = above.empty() ? "" : " + ";
    above += plus + part;
    below += plus + num(one.trees);
    squares += plus + part + " × " + part + " × " + num(one.variance);
    table.row({who(it, one.person), plain(one.trees), plain(one.level), plain(one.variance)});
  }
  sheet.block(table.text("  "));
  sheet.line("trees pruned: from the spells of work; where none was noted, counts × stride");
  sheet.equation("mean spurs on a tree", num(done.target) + " × (" + above + ") ÷ (" + below + ")",
                 done.mean.value);
  const std::string bias = num(work.shared_bias_sd), sd = num(work.mean_log_sd);
  sheet.equation("standard deviation of its ln", "√((" + squares + ") ÷ ((" + above + ") × (" +
                 above + ")) + " + bias + " × " + bias + ")", work.mean_log_sd,
                 "(" + bias + ": what the crew misses, shared by all)");
  const std::string half = "t(0.95; " + num(work.df) + ") × " + sd;
  sheet.equation("90 % interval, low", num(done.mean.value) + " × exp(0 - " + half + ")",
                 done.mean.low);
  sheet.equation("90 % interval, high", num(done.mean.value) + " × exp(" + half + ")",
                 done.mean.high);
  sheet.line(base::print("band %s to %s", plain(done.band_low).c_str(),
                         plain(done.band_high).c_str()));
}

// Two one-sided tests on the log scale; the target's own uncertainty is inside.
void explain_acceptance(const advice::BlockSheet& work, Worksheet& sheet) {
  const std::string m = num(work.log_mean), sd = num(work.log_sd), df = num(work.df);
  const std::string t = num(work.tolerance_fraction);
  sheet.line("ln(mean ÷ target) " + plain(work.log_mean) + ", standard deviation " +
             plain(work.log_sd) + ", counting and target inside");
  sheet.equation("two one-sided tests, larger p", "max(T((ln(1 - " + t + ") - " + m + ") ÷ " + sd +
                 "; " + df + "); T((" + m + " - ln(1 + " + t + ")) ÷ " + sd + "; " + df + "))",
                 work.acceptance.tost_p, "(accepted at 0.05 and under)");
  sheet.line("acceptance: " + word_of(work.acceptance.kind) + "; " +
             sentence(work.acceptance.reason));
}

// Single trees about the mean, log-normal: a tree's ln lies half a variance below the mean's.
void explain_shares(const advice::BlockSheet& work, Worksheet& sheet) {
  const advice::Acceptance& done = work.acceptance;
  const std::string s = num(work.tree_log_sd), t = num(work.tolerance_fraction);
  const std::string centre = num(work.log_mean) + " - " + s + " × " + s + " ÷ 2";
  sheet.equation("share of trees over the band", "N((" + centre + " - ln(1 + " + t + ")) ÷ " + s +
                 ")", done.share_over, "(trees differ by " + s + ")");
  sheet.equation("share of trees under the band", "N((ln(1 - " + t + ") - (" + centre + ")) ÷ " +
                 s + ")", done.share_under);
  sheet.line("trees outside the band: " + in_percent(done.share_out_of_band.value) + " % (" +
             in_percent(done.share_out_of_band.low) + " to " +
             in_percent(done.share_out_of_band.high) + " %)");
}

void explain_rest(const advice::Acceptance& done, Worksheet& sheet) {
  if (done.trees <= done.trees_done) return;
  const double all = static_cast<double>(done.trees), so_far = double(done.trees_done);
  sheet.equation("each tree still to prune, for the whole to land on target", "max(0; (" +
                 num(all) + " × " + num(done.target) + " - " + num(so_far) + " × " +
                 num(done.mean.value) + ") ÷ " + num(all - so_far) + ")",
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

void explain_revisits(const ExplainedBlock& it, const advice::Acceptance& done,
                      Worksheet& sheet) {
  if (done.revisit.empty()) return;
  TextTable table({"row", "tree", "pruner", ">over target", ">worth"});
  for (std::size_t i = 0; i < std::min<std::size_t>(trees_shown, done.revisit.size()); ++i) {
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

void explain_recounts(const ExplainedBlock& it, const std::vector<advice::Recount>& list,
                      Worksheet& sheet) {
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

}  // namespace

void explain_block(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("The block as a whole");
  const auto work =
      advice::block_sheet(it.farm->season, it.block->id, it.farm->now_ms, trees_shown);
  if (work.acceptance.counts == 0) return sheet.line("nothing counted yet");
  explain_mean(it, work, sheet);
  explain_acceptance(work, sheet);
  explain_shares(work, sheet);
  explain_rest(work.acceptance, sheet);
  explain_revisits(it, work.acceptance, sheet);
  explain_recounts(it, work.recounts, sheet);
}

}  // namespace nthtree::cli
