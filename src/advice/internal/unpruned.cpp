// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/unpruned.h"

#include <cmath>

#include "advice/internal/current.h"
#include "stats/mean_interval.h"
#include "stats/summary.h"

namespace nthtree::advice {

Reason all_stays_reason(double unpruned, double target) {
  return {"all_stays", {{"unpruned", std::round(unpruned)}, {"target", std::round(target)}}};
}

Unpruned unpruned_trees(const ledger::BlockSeason& block, std::int64_t cut_ms) {
  Unpruned result;
  for_current(block.before_counts, cut_ms,
              [&](const auto& entry) { result.counts.push_back(entry.body.spurs); });
  result.trees = static_cast<int>(result.counts.size());
  if (result.counts.empty()) return result;
  const auto interval =
      stats::mean_interval(result.counts, stats::MeanMethod::student_t, 0.90);
  if (interval) {
    result.spurs = {interval->mean, at_least_zero(interval->interval.low),
                    interval->interval.high};
    result.sd = stats::summarize(result.counts)->sd;
  } else {
    // One tree: the mean lies within what a spread of a quarter allows, by Student's t a wide bit.
    result.spurs = log_estimate(0, 0.35, result.counts[0]);
  }
  return result;
}

}  // namespace nthtree::advice
