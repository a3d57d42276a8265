// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/standing.h"

#include <algorithm>

#include "advice/internal/context.h"

namespace nthtree::advice {

const Standing* BlockStandings::of(const std::string& person) const {
  const auto found =
      std::find_if(pruners.begin(), pruners.end(),
                   [&](const Standing& standing) { return standing.person == person; });
  return found == pruners.end() ? nullptr : &*found;
}

BlockStandings block_standings(const ledger::Season& season, const std::string& block,
                               std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found) {
    BlockStandings none;
    none.block = block;
    return none;
  }
  return make_context(season, *found, now_ms, cut_for(season, now_ms)).standings;
}

Standing standing_of(const ledger::Season& season, const std::string& block,
                     const std::string& person, std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found) {
    Standing nobody;
    nobody.block = block;
    nobody.person = person;
    return nobody;
  }
  return make_context(season, *found, now_ms, cut_for(season, now_ms)).standing_of(person);
}

}  // namespace nthtree::advice
