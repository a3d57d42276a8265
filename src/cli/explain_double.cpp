// SPDX-License-Identifier: Apache-2.0
// Double sampling by the book: many tags, some of them counted again, and the block's mean by the
// ratio and the regression estimator.
#include <cmath>
#include <map>
#include <vector>

#include "base/text.h"
#include "cli/explain_steps.h"
#include "stats/double_sampling.h"
#include "stats/summary.h"

namespace nthtree::cli {
namespace {

struct Phases {
  std::vector<double> tags;          // of all trees
  std::vector<double> tag, check;    // of the trees counted again
};

// The last tag of a tree, and the last re-count of it; tags of leads are left out, who count right.
Phases phases_of(const ExplainedBlock& it) {
  std::map<orchard::TreeAddress, double> tags, checks;
  for (const auto& entry : it.block->tag_counts) {
    if (entry.withdrawn) continue;
    const orchard::Person* by = it.farm->season.person(entry.author);
    if (by && by->role == orchard::Role::lead) continue;
    tags[entry.body.tree] = entry.body.spurs;
  }
  for (const auto& entry : it.block->check_counts) {
    if (!entry.withdrawn) checks[entry.body.tree] = entry.body.spurs;
  }
  Phases phases;
  for (const auto& [tree, spurs] : tags) {
    phases.tags.push_back(spurs);
    const auto again = checks.find(tree);
    if (again == checks.end()) continue;
    phases.tag.push_back(spurs);
    phases.check.push_back(again->second);
  }
  return phases;
}

std::string interval_told(const stats::TwoPhaseEstimate& estimate) {
  return base::print("± %s, 90 %% %s to %s", plain(estimate.standard_error).c_str(),
                     plain(estimate.interval.low).c_str(), plain(estimate.interval.high).c_str());
}

}  // namespace

void explain_double_sampling(const ExplainedBlock& it, Worksheet& sheet) {
  const Phases phases = phases_of(it);
  const double trees = static_cast<double>(it.block->block->trees());
  const auto ratio = stats::two_phase_ratio(phases.check, phases.tag, phases.tags, 0.90, trees);
  const auto regression =
      stats::two_phase_regression(phases.check, phases.tag, phases.tags, 0.90, trees);
  if (!ratio || !regression) return;
  sheet.step("The block's mean by double sampling, as the books have it");
  const double n = static_cast<double>(phases.tag.size());
  const double all = static_cast<double>(phases.tags.size());
  const double tag_sum = stats::exact_sum(phases.tag), check_sum = stats::exact_sum(phases.check);
  const double first_sum = stats::exact_sum(phases.tags);
  sheet.line(base::print("%.0f trees tagged, %.0f of them counted again", all, n));
  sheet.equation("mean of all tags", num(first_sum) + " ÷ " + num(all), first_sum / all);
  sheet.equation("ratio re-count ÷ tag", num(check_sum) + " ÷ " + num(tag_sum), ratio->slope);
  sheet.equation("mean by the ratio", num(ratio->slope) + " × " + num(first_sum / all),
                 ratio->mean, interval_told(*ratio));
  sheet.equation("mean by the regression", num(check_sum / n) + " + " + num(regression->slope) +
                 " × (" + num(first_sum / all) + " - " + num(tag_sum / n) + ")", regression->mean,
                 interval_told(*regression) + "; slope " + plain(regression->slope) +
                 ", correlation " + plain(regression->correlation));
  const auto pays = stats::two_phase_cost_threshold(regression->correlation);
  if (pays) {
    const std::string r = num(regression->correlation);
    sheet.equation("it pays where a re-count costs, in tags, more than", "(1 + √(1 - " + r +
                   " × " + r + ")) × (1 + √(1 - " + r + " × " + r + ")) ÷ (" + r + " × " + r +
                   ")", *pays, "(Cochran 1977, ch. 12)");
  }
  sheet.line("every tag weighs the same here, whoever pruned how much; the block's own mean below "
             "weighs by trees pruned and lets old days fade");
}

}  // namespace nthtree::cli
