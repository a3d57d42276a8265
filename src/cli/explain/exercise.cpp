// SPDX-License-Identifier: Apache-2.0
// A counting exercise, where there is any: who counts how, and how much of it is counting.
#include <cmath>

#include "advice/known/exercise.h"
#include "base/text.h"
#include "cli/explain/steps.h"
#include "cli/text_table.h"

namespace nthtree::cli {
namespace {

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
  TextTable table({"person", ">mean", ">against all", ">sd between own rounds",
                   ">first counts less the others', 19 in 20"});
  for (const auto& person : result.by_person) {
    table.row({person.person, plain(person.mean), base::print("%.3f", person.ratio_to_all),
               base::print("%.3g", person.repeat_sd),
               person.has_limits ? base::print("%.0f to %.0f", person.limit_low, person.limit_high)
                                 : ""});
  }
  sheet.block(table.text("  "));
  explain_analysis(result, sheet);
}

}  // namespace

void explain_exercises(const ExplainedBlock& it, Worksheet& sheet) {
  for (const std::string& id : advice::exercises_in(*it.block)) explain_exercise(it, id, sheet);
}

}  // namespace nthtree::cli
