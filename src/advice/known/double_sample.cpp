// SPDX-License-Identifier: Apache-2.0
#include "advice/known/double_sample.h"

#include <map>
#include <vector>

#include "advice/internal/current.h"
#include "advice/known/planting.h"
#include "stats/summary.h"

namespace nthtree::advice {

DoubleSample double_sample(const ledger::Season& season, const ledger::BlockSeason& block) {
  std::map<orchard::TreeAddress, double> last_tags, last_checks;
  for_current(block.tag_counts, always, [&](const auto& entry) {
    const orchard::Person* by = season.person(entry.author);
    if (by && by->role == orchard::Role::lead) return;
    last_tags[entry.body.tree] = entry.body.spurs;
  });
  for_current(block.check_counts, always,
              [&](const auto& entry) { last_checks[entry.body.tree] = entry.body.spurs; });
  std::vector<double> tags, pair_tags, pair_checks;
  for (const auto& [tree, spurs] : last_tags) {
    tags.push_back(spurs);
    const auto again = last_checks.find(tree);
    if (again == last_checks.end()) continue;
    pair_tags.push_back(spurs);
    pair_checks.push_back(again->second);
  }
  DoubleSample sample;
  sample.tagged = static_cast<double>(tags.size());
  sample.recounted = static_cast<double>(pair_tags.size());
  if (!block.block) return sample;
  const double trees = static_cast<double>(planting_of(block, always).bearing());
  const auto ratio = stats::two_phase_ratio(pair_checks, pair_tags, tags, 0.90, trees);
  const auto regression = stats::two_phase_regression(pair_checks, pair_tags, tags, 0.90, trees);
  if (!ratio || !regression) return sample;
  sample.known = true;
  sample.tag_sum = stats::exact_sum(tags);
  sample.pair_tag_sum = stats::exact_sum(pair_tags);
  sample.pair_check_sum = stats::exact_sum(pair_checks);
  sample.ratio = *ratio;
  sample.regression = *regression;
  const auto pays = stats::two_phase_cost_threshold(regression->correlation);
  if (pays) sample.pays_above = *pays;
  return sample;
}

}  // namespace nthtree::advice
