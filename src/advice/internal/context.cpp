// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/context.h"

#include <algorithm>

#include "advice/internal/live.h"

namespace nthtree::advice {
namespace {

constexpr std::int64_t clock_slack_ms = 36LL * 3600 * 1000;

template <typename T>
std::int64_t last_ms(const ledger::Entries<T>& entries) {
  return entries.empty() ? 0 : entries.back().at_ms();
}

}  // namespace

std::int64_t cut_for(const ledger::Season& season, std::int64_t now_ms) {
  std::int64_t latest = 0;
  for (const auto& [id, block] : season.blocks()) {
    latest = std::max({latest, last_ms(block.tag_counts), last_ms(block.check_counts),
                       last_ms(block.work_spells), last_ms(block.advice)});
  }
  return latest - now_ms < clock_slack_ms ? always : now_ms;
}

StandingInput BlockContext::input() const {
  StandingInput input;
  input.here = here.get();
  for (const auto& other : elsewhere) input.elsewhere.push_back(other.get());
  input.bias = bias.get();
  input.tolerance_fraction = settings.tolerance_fraction;
  input.trees_pruned = trees_pruned_by(*block, cut_ms);
  input.trees_per_count = std::max(1, settings.stride);
  return input;
}

Standing BlockContext::standing_of(const std::string& person) const {
  if (const Standing* own = standings.of(person)) return *own;
  return standing_of_newcomer(standings, person, input());
}

BlockContext make_context(const ledger::Season& season, const ledger::BlockSeason& block,
                          std::int64_t now_ms, std::int64_t cut_ms) {
  BlockContext context;
  context.season = &season;
  context.block = &block;
  context.now_ms = now_ms;
  context.cut_ms = cut_ms;
  const std::int64_t since = now_ms - evidence_age_ms_max;
  context.here = std::make_shared<BlockEvidence>(gather(season, block, since, cut_ms));
  context.bias = std::make_shared<CountingBias>(counting_bias(season, cut_ms));
  for (const auto& [id, other] : season.blocks()) {
    if (id == block.id || other.tag_counts.empty()) continue;
    context.elsewhere.push_back(std::make_shared<BlockLevels>(
        levels_in(gather(season, other, since, cut_ms), *context.bias, Movement{})));
  }
  context.settings = settings_for(season, block);
  context.standings = model_standings(context.input());
  return context;
}

}  // namespace nthtree::advice
