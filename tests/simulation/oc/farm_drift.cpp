// SPDX-License-Identifier: Apache-2.0
#include "farm_drift.h"

#include <algorithm>
#include <cmath>

#include "advice/internal/drift_model.h"

namespace nthtree::oc {

void DriftTally::add(const DriftTally& other) {
  false_flags += other.false_flags;
  found += other.found;
  counts_until += other.counts_until;
}

void FlagWatch::look(const std::string& who, bool flag, int counts_since, DriftTally& tally) {
  Seen& seen = seen_[who];
  const bool raised = flag && !seen.flag;
  seen.flag = flag;
  if (!raised || seen.found) return;
  if (counts_since == 0) {
    ++tally.false_flags;
    seen.spoiled = true;
  } else if (!seen.spoiled) {
    seen.found = true;
    ++tally.found;
    tally.counts_until += counts_since;
  }
}

bool flag_as_it_was(const advice::Drift& drift, const advice::Standing& standing, double target) {
  const double unit = std::cbrt(std::exp(std::clamp(standing.log_ratio.mean, -3.0, 3.0)));
  const double cv = std::sqrt(std::expm1(standing.tree_log_sd * standing.tree_log_sd));
  advice::LevelChart chart(unit * cv, unit * 0.15, 400);
  int since = advice::alarm_lasts_counts + 1;
  for (const advice::DriftPoint& point : drift.points) {
    ++since;
    if (point.segment_begins) {
      chart.restart();
      since = advice::alarm_lasts_counts + 1;
    }
    if (chart.add(3 * std::cbrt(point.spurs / target))) since = 0;
  }
  return since <= advice::alarm_lasts_counts;
}

}  // namespace nthtree::oc
