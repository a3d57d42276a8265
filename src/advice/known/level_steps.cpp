// SPDX-License-Identifier: Apache-2.0
#include "advice/known/level_steps.h"

#include "advice/internal/context.h"

namespace nthtree::advice {

LevelStep LevelStep::told(const AdvicePoint& advice, const Track& before, const Track& after) {
  LevelStep step;
  step.kind = Kind::advised;
  step.told_spurs = advice.spurs;
  step.told_log = after.mean - before.mean;
  step.mean_before = before.mean;
  step.variance_before = before.variance;
  step.mean_after = after.mean;
  step.variance_after = after.variance;
  return step;
}

void LevelStep::add(const CountPoint& count, double share, double mean, double variance) {
  ++n;
  mean_share += (share - mean_share) / n;
  if (count.check >= 0) {
    checks += count.check;
    tags += count.mended;
  } else {
    tags += count.spurs;
  }
  mean_after = mean;
  variance_after = variance;
}

std::vector<LevelStep> level_steps(const ledger::Season& season, const std::string& block,
                                   const std::string& person, std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found || !found->block) return {};
  return level_steps_in(
      make_context(season, *found, now_ms, cut_for(season, now_ms)).input(), person);
}

}  // namespace nthtree::advice
