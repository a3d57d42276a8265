// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/standing.h"

#include <algorithm>

#include "advice/internal/context.h"
#include "stats/quantiles.h"

namespace nthtree::advice {

namespace {

// sign: 1 for above, -1 for below.
double chance_beyond(const Standing& standing, double log_ratio, double sign) {
  const auto of = [&](const LogRatio& r) {
    return stats::t_cdf(sign * (r.mean - log_ratio) / r.sd, standing.tree_df);
  };
  const Miscount& miscount = standing.miscount;
  if (miscount.chance <= 0) return of(standing.log_ratio);
  return (1 - miscount.chance) * of(miscount.usual) + miscount.chance * of(miscount.off);
}

}  // namespace

double chance_above(const Standing& standing, double log_ratio) {
  return chance_beyond(standing, log_ratio, 1);
}

double chance_below(const Standing& standing, double log_ratio) {
  return chance_beyond(standing, log_ratio, -1);
}

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
  return make_context(season, *found, now_ms, cut_for(season, now_ms)).standings();
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
