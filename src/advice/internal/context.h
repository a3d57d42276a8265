// SPDX-License-Identifier: Apache-2.0
//
// Everything the judgements about one block share, worked out once: evidence, counting bias,
// settings, standings. Internal to advice/; the public functions build one, the Advisor keeps its
// parts.
//
// `cut_ms` is the last moment that is looked at. A device's records may carry stamps a little
// later than its wall clock (another phone's clock ran ahead), and a count just saved must count:
// so the cut lies a day and a half past now, unless several phones wrote more after that, when a
// past evening is being shown. What one phone of several stamped further ahead waits for its time
// (ledger/written_ahead.h names it) and moves nobody else's numbers.
//
// Evidence fades (evidence.h) and never drops out by age. Counts from before ledger::season_begins
// are of another season's pruning: to see how they stood, ask for a moment of that season.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "advice/known/counting_bias.h"
#include "advice/internal/evidence.h"
#include "advice/settings.h"
#include "advice/judged/standing.h"
#include "advice/judged/verdict.h"
#include "advice/internal/spread_by_day.h"
#include "advice/internal/standing_model.h"
#include "advice/known/rows_pruned.h"
#include "ledger/season.h"

namespace nthtree::advice {

struct BlockContext {
  const ledger::Season* season = nullptr;
  const ledger::BlockSeason* block = nullptr;
  std::int64_t now_ms = 0, cut_ms = 0;
  std::shared_ptr<const BlockEvidence> here;
  std::shared_ptr<const BlockLevels> elsewhere;  // of all other blocks together
  std::shared_ptr<const CountingBias> bias;
  Settings settings;
  StandingModel model;  // of input()

  StandingInput input() const;
  // Kept once asked for. A verdict asks for one person's; everybody's cost as many times more.
  const BlockStandings& standings() const;
  const Standing& standing_of(const std::string& person) const;
  const Verdict& verdict_of(const std::string& person) const;
  // Worked out when first asked for: what follows every count needs neither.
  const Planting& planting() const;
  const RowsPruned& rows() const;
  const SpreadByDay& spread_by_day() const;

 private:
  mutable std::optional<BlockStandings> standings_;
  mutable std::map<std::string, Standing> people_;
  mutable std::map<std::string, Verdict> verdicts_;
  mutable std::optional<Planting> planting_;
  mutable std::optional<RowsPruned> rows_;
  mutable std::optional<SpreadByDay> spread_by_day_;
};

std::int64_t cut_for(const ledger::Season& season, std::int64_t now_ms);
// The same where now_ms is surely the present, if this device's own clock is right: where several
// phones are ahead of it, it is not, and nothing is cut.
std::int64_t cut_of_present(const ledger::Season& season, std::int64_t now_ms);

// The block must exist.
BlockContext make_context(const ledger::Season& season, const ledger::BlockSeason& block,
                          std::int64_t now_ms, std::int64_t cut_ms);

}  // namespace nthtree::advice
