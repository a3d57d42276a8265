// SPDX-License-Identifier: Apache-2.0
#include "advice/known/level_steps.h"

#include "advice/internal/context.h"

namespace nthtree::advice {

std::vector<LevelStep> level_steps(const ledger::Season& season, const std::string& block,
                                   const std::string& person, std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found || !found->block) return {};
  return level_steps_in(
      make_context(season, *found, now_ms, cut_for(season, now_ms)).input(), person);
}

}  // namespace nthtree::advice
