// SPDX-License-Identifier: Apache-2.0
//
// Steps that are written only where there is something to say: a counting exercise, the second
// pass at green tip, and what harvest and the next spring taught.
#include <cmath>

#include "advice/known/exercise.h"
#include "advice/review/learning.h"
#include "base/text.h"
#include "cli/explain_steps.h"
#include "cli/text_table.h"

namespace nthtree::cli {
namespace {

bool counted_here(const ExplainedBlock& it, const std::string& exercise) {
  for (const auto& entry : it.block->exercise_counts) {
    if (!entry.withdrawn && entry.body.exercise == exercise) return true;
  }
  return false;
}

// The table of the analysis of variance, and the spreads from it.
void explain_analysis(const advice::Exercise& result, Worksheet& sheet) {
  const stats::GaugeStudy& study = result.study;
  TextTable table({"analysis of variance", ">squares", ">df", ">mean square", ">F", ">p"});
  const auto line = [&](const char* name, const stats::AnovaLine& anova, bool tested) {
    table.row({name, plain(anova.sum_of_squares), plain(anova.df), plain(anova.mean_square),
               tested ? base::print("%.3g", anova.f) : "",
               tested ? base::print("%.2g", anova.p_value) : ""});
  };
  line("trees", study.part, true);
  line("people", study.operator_line, true);
  line("people by trees", study.interaction, true);
  line(study.pooled ? "again, with people by trees" : "again", study.residual, false);
  sheet.block(table.text("  "));
  sheet.line(study.pooled ? "people by trees is taken with counting again (its p is above 0.25)"
                          : "people by trees is kept apart (its p is 0.25 or less)");
  const double p = result.trees, o = result.people, r = result.rounds;
  const std::string repeat = num(study.residual.mean_square);
  const std::string below = study.pooled ? repeat : num(study.interaction.mean_square);
  sheet.equation("the same person again, variance", "max(0; " + repeat + ")",
                 study.repeatability);
  sheet.equation("between people, variance", "max(0; (" + num(study.operator_line.mean_square) +
                 " - " + below + ") ÷ (" + num(p) + " × " + num(r) + "))",
                 study.operator_variance);
  if (!study.pooled) {
    sheet.equation("people by trees, variance", "max(0; (" + below + " - " + repeat + ") ÷ " +
                   num(r) + ")", study.interaction_variance);
  }
  sheet.equation("between trees, variance", "max(0; (" + num(study.part.mean_square) + " - " +
                 below + ") ÷ (" + num(o) + " × " + num(r) + "))", study.part_variance);
  sheet.equation("counting, standard deviation", "√(" + num(study.repeatability) + " + " +
                 num(study.operator_variance) + " + " + num(study.interaction_variance) + ")",
                 std::sqrt(study.gauge), "(repeatability and reproducibility)");
  sheet.equation("share of the whole spread", "√(" + num(study.gauge) + " ÷ (" +
                 num(study.gauge) + " + " + num(study.part_variance) + "))", result.gauge_share,
                 "(under 0.1 good, over 0.3 poor: AIAG)");
}

void explain_exercise(const ExplainedBlock& it, const std::string& id, Worksheet& sheet) {
  const auto result = advice::exercise(it.farm->season, id);
  sheet.step("Counting exercise " + id);
  if (!result.complete) {
    return sheet.line("not complete: two people, two trees and two rounds are the least");
  }
  sheet.line(base::print("%d people counted %d trees %d times each (%d counts left out)",
                         result.people, result.trees, result.rounds, result.left_out));
  TextTable table({"person", ">mean", ">against all", ">sd between own rounds"});
  for (const auto& person : result.by_person) {
    table.row({person.person, plain(person.mean), base::print("%.3f", person.ratio_to_all),
               base::print("%.3g", person.repeat_sd)});
  }
  sheet.block(table.text("  "));
  explain_analysis(result, sheet);
}

// The trees with both counts; returns the sum of the squares in the table.
double explain_trees(const advice::Learning& learnt, Worksheet& sheet) {
  const double each = learnt.flowering / static_cast<double>(learnt.trees.size());
  double squares = 0;
  TextTable table({"row", "tree", ">flowering spurs left", ">fruits",
                   ">square of (left - own factor × fruits) ÷ mean left"});
  for (const advice::TreeYield& tree : learnt.trees) {
    const double gap =
        (tree.flowering - learnt.flowering / learnt.fruits * tree.fruits) / each;
    squares += gap * gap;
    table.row({std::to_string(tree.tree.row), std::to_string(tree.tree.tree),
               plain(tree.flowering), plain(tree.fruits), plain(gap * gap)});
  }
  sheet.block(table.text("  "));
  return squares;
}

void explain_return_bloom(const ExplainedBlock& it, const advice::Learning& learnt,
                          Worksheet& sheet) {
  double floral = 0, spurs = 0;
  for (const auto& entry : it.block->return_bloom) {
    if (entry.withdrawn || entry.body.spurs <= 0) continue;
    floral += entry.body.floral_spurs;
    spurs += entry.body.spurs;
  }
  sheet.equation("return bloom", num(floral) + " ÷ " + num(spurs), learnt.return_bloom.value,
                 base::print("of the spurs flower again (%s to %s), on %d trees",
                             plain(learnt.return_bloom.low).c_str(),
                             plain(learnt.return_bloom.high).c_str(), learnt.return_trees));
}

}  // namespace

void explain_exercises(const ExplainedBlock& it, Worksheet& sheet) {
  for (const std::string& id : advice::exercises(it.farm->season)) {
    if (counted_here(it, id)) explain_exercise(it, id, sheet);
  }
}

void explain_second_pass(const ExplainedBlock& it, Worksheet& sheet) {
  const auto pass = advice::second_pass(*it.block);
  if (pass.trees == 0) return;
  sheet.step("Second pass: floral clusters are visible");
  std::string sum;
  int n = 0;
  for (const auto& entry : it.block->cluster_counts) {
    if (entry.withdrawn) continue;
    sum += (sum.empty() ? "" : " + ") + std::to_string(entry.body.floral_clusters);
    ++n;
  }
  sheet.equation("floral clusters on a tree", "(" + sum + ") ÷ " + num(n),
                 pass.floral_clusters_per_tree.value);
  sheet.equation("to take (negative: short)", num(pass.floral_clusters_per_tree.value) + " - " +
                 num(pass.flowering_spurs_target), pass.clusters_to_take_per_tree.value,
                 base::print("(%s to %s)", plain(pass.clusters_to_take_per_tree.low).c_str(),
                             plain(pass.clusters_to_take_per_tree.high).c_str()));
}

void explain_learning(const ExplainedBlock& it, Worksheet& sheet) {
  const auto learnt = advice::learn(it.farm->season, it.block->id);
  if (learnt.harvest_trees == 0 && learnt.return_trees == 0) return;
  sheet.step("What the season taught");
  if (learnt.harvest_trees > 0 && learnt.own_insurance.value > 0) {
    const double variety = it.block->block->target.insurance_factor;
    sheet.line(base::print("%d trees with fruits and spurs counted", learnt.harvest_trees));
    const double n = learnt.harvest_trees;
    const double squares = explain_trees(learnt, sheet);
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
                   " + " + num(squares) + ") ÷ (" + weight + " + " + num(n) + " - 1) ÷ " + num(n),
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
  if (learnt.return_trees > 0) {
    explain_return_bloom(it, learnt, sheet);
  }
}

}  // namespace nthtree::cli
