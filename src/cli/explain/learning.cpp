// SPDX-License-Identifier: Apache-2.0
// What harvest and the next spring taught.
#include "advice/review/years.h"
#include "base/text.h"
#include "cli/explain/steps.h"
#include "cli/text_table.h"

namespace nthtree::cli {
namespace {

void explain_trees(const advice::Learning& learnt, Worksheet& sheet) {
  TextTable table({"row", "tree", ">flowering spurs left", ">fruits",
                   ">square of (left - own factor × fruits) ÷ mean left"});
  for (const advice::TreeYield& tree : learnt.trees) {
    table.row({std::to_string(tree.tree.row), std::to_string(tree.tree.tree),
               plain(tree.flowering), plain(tree.fruits), plain(tree.square)});
  }
  sheet.block(table.text("  "));
}

// Seasons that were closed, beside the one at hand.
void explain_years(const ExplainedBlock& it, Worksheet& sheet) {
  const auto years =
      advice::block_years(it.farm->season, it.block->id, it.farm->now_ms);
  if (years.seasons.size() < 2) return;
  TextTable table({"season", ">planned", ">left", ">set on a spur", ">picked", ">bloom again"});
  const auto some = [](bool is_known, double value) { return is_known ? plain(value) : "-"; };
  std::string crops;
  for (const advice::SeasonOfBlock& season : years.seasons) {
    const advice::Learning& learnt = season.learnt;
    table.row({season.is_closed ? std::to_string(season.year) : "at hand",
               some(season.planned > 0, season.planned), some(season.counts > 0, season.left.value),
               some(learnt.harvest_trees > 0, learnt.set_per_spur.value),
               some(learnt.picked_trees > 0, learnt.picked_per_tree),
               some(learnt.return_trees > 0, learnt.return_bloom.value)});
    if (learnt.picked_trees == 0) continue;
    crops += (crops.empty() ? "" : ", ") + plain(learnt.picked_per_tree);
  }
  sheet.block(table.text("  "));
  if (!years.bearing) return;
  sheet.line("biennial index of " + crops + ": mean of |difference| ÷ sum over " +
             counted(years.bearing->pairs, "pair") + " = " + plain(years.bearing->mean) +
             "; chance alone gives about " + plain(orchard::biennial_index_by_chance));
}

void explain_return_bloom(const advice::Learning& learnt, Worksheet& sheet) {
  sheet.equation("return bloom", num(learnt.return_floral) + " ÷ " + num(learnt.return_spurs),
                 learnt.return_bloom.value,
                 base::print("of the spurs flower again (%s to %s), on ",
                             plain(learnt.return_bloom.low).c_str(),
                             plain(learnt.return_bloom.high).c_str()) +
                 counted(learnt.return_trees, "tree"));
}

void explain_own_factor(const ExplainedBlock& it, const advice::Learning& learnt,
                        Worksheet& sheet) {
  const double variety = it.block->block->target.insurance_factor;
  sheet.line(counted(learnt.harvest_trees, "tree") + " with fruits and spurs counted");
  const double n = learnt.harvest_trees;
  explain_trees(learnt, sheet);
  sheet.equation("fruits a tree", num(learnt.fruits) + " ÷ " + num(n),
                 learnt.fruits_per_tree.value);
  sheet.equation("this block's own factor", num(learnt.flowering) + " ÷ " + num(learnt.fruits),
                 learnt.own_insurance.value,
                 base::print("(%s to %s; flowering spurs left ÷ fruits)",
                             plain(learnt.own_insurance.low).c_str(),
                             plain(learnt.own_insurance.high).c_str()));
  const std::string weight = num(advice::tree_log_sd_weight);
  const std::string prior = num(advice::tree_log_sd_prior);
  sheet.equation("variance of ln(own factor)", "(" + weight + " × " + prior + " × " + prior +
                 " + " + num(learnt.squares) + ") ÷ (" + weight + " + " + num(n) + " - 1) ÷ " +
                 num(n),
                 learnt.own_variance, "(the squares above; as if " + weight + " trees with a "
                 "scatter of " + prior + " had been seen before)");
  const std::string between = num(advice::own_factor_log_sd);
  sheet.equation("share of the factor in use", num(learnt.own_variance) + " ÷ (" +
                 num(learnt.own_variance) + " + " + between + " × " + between + ")",
                 learnt.shrinkage, "(against 25 % between blocks)");
  const std::string share = num(learnt.shrinkage);
  sheet.equation("next year's insurance factor", "exp((1 - " + share + ") × ln(" +
                 num(learnt.own_insurance.value) + ") + " + share + " × ln(" + num(variety) +
                 "))", learnt.insurance.value,
                 base::print("(%.0f %% from this block, the rest the factor in use)",
                             100 * (1 - learnt.shrinkage)));
  sheet.equation("spurs to leave, in hindsight",
                 "whole(" + num(it.target.target.fruits_per_tree) + " × " +
                 num(learnt.insurance.value) + " ÷ " +
                 num(it.target.target.floral_fraction.value) + ")",
                 learnt.spurs_to_leave_in_hindsight);
  sheet.line("a block that was thinned by hand or spray shows too high a factor");
}

}  // namespace

void explain_learning(const ExplainedBlock& it, Worksheet& sheet) {
  const auto learnt = advice::learn(it.farm->season, it.block->id);
  const bool is_first = it.farm->season.spans().size() < 2;
  if (learnt.harvest_trees == 0 && learnt.return_trees == 0 && is_first) return;
  sheet.step("What the season taught");
  if (learnt.harvest_trees > 0 && learnt.own_insurance.value > 0) {
    explain_own_factor(it, learnt, sheet);
  }
  for (const orchard::TreeAddress& tree : learnt.never_counted) {
    sheet.line(base::print("row %d, tree %d: fruits and no spurs counted, left out", tree.row,
                           tree.tree));
  }
  if (learnt.weighed_trees > 0) {
    sheet.line("mean weight of a fruit " + plain(learnt.grams_per_fruit) + " g, on " +
               counted(learnt.weighed_trees, "tree"));
  }
  if (learnt.return_trees > 0) explain_return_bloom(learnt, sheet);
  explain_years(it, sheet);
}

}  // namespace nthtree::cli
