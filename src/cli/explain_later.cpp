// SPDX-License-Identifier: Apache-2.0
//
// Steps that are written only where there is something to say: a counting exercise, the second
// pass at green tip, and what harvest and the next spring taught.
#include <cmath>

#include "advice/exercise.h"
#include "advice/learning.h"
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
  const double gauge = std::hypot(result.repeatability_sd, result.reproducibility_sd);
  sheet.equation("counting, standard deviation",
                 "√(" + num(result.repeatability_sd) + " × " + num(result.repeatability_sd) +
                 " + " + num(result.reproducibility_sd) + " × " + num(result.reproducibility_sd) +
                 ")", gauge, "(same person again, and between people)");
  sheet.equation("share of the whole spread", num(gauge) + " ÷ √(" + num(gauge) + " × " +
                 num(gauge) + " + " + num(result.tree_sd) + " × " + num(result.tree_sd) + ")",
                 result.gauge_share, "(under 0.1 good, over 0.3 poor: AIAG)");
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
    sheet.line(base::print("%d trees with fruits and spurs counted: %s fruits a tree, own factor "
                           "(flowering spurs left ÷ fruits) %s (%s to %s)", learnt.harvest_trees,
                           plain(learnt.fruits_per_tree.value).c_str(),
                           plain(learnt.own_insurance.value).c_str(),
                           plain(learnt.own_insurance.low).c_str(),
                           plain(learnt.own_insurance.high).c_str()));
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
    sheet.line(base::print("return bloom on %d trees: %.0f %% of the spurs (%.0f to %.0f %%)",
                           learnt.return_trees, 100 * learnt.return_bloom.value,
                           100 * learnt.return_bloom.low, 100 * learnt.return_bloom.high));
  }
}

}  // namespace nthtree::cli
