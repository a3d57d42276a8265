// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/unpruned.h"

#include <vector>

#include "advice/internal/live.h"
#include "stats/mean_interval.h"

namespace nthtree::advice {

Unpruned unpruned_trees(const ledger::BlockSeason& block, std::int64_t cut_ms) {
  Unpruned result;
  std::vector<double> spurs;
  for_live(block.before_counts, cut_ms,
           [&](const auto& entry) { spurs.push_back(entry.body.spurs); });
  result.trees = static_cast<int>(spurs.size());
  if (spurs.empty()) return result;
  const auto interval = stats::mean_interval(spurs, stats::MeanMethod::student_t, 0.90);
  if (interval) {
    result.spurs = {interval->mean, at_least_zero(interval->interval.low),
                    interval->interval.high};
  } else {
    // One tree: the mean lies within what a spread of a quarter allows, by Student's t a wide bit.
    result.spurs = log_estimate(0, 0.35, spurs[0]);
  }
  return result;
}

}  // namespace nthtree::advice
