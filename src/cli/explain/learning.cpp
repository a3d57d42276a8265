// SPDX-License-Identifier: Apache-2.0
// What harvest and the next spring taught.
#include "advice/review/learning.h"
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
  if (learnt.harvest_trees == 0 && learnt.return_trees == 0) return;
  sheet.step("What the season taught");
  if (learnt.harvest_trees > 0 && learnt.own_insurance.value > 0) {
    explain_own_factor(it, learnt, sheet);
  }
  if (learnt.return_trees > 0) explain_return_bloom(learnt, sheet);
}

}  // namespace nthtree::cli
