// SPDX-License-Identifier: Apache-2.0
//
// The public functions of this folder for a screen that asks again after every count: the same
// answers, but only what a new record touched is worked out anew. A tag count at the end of a
// block's list costs one step (under a millisecond with 200,000 records); anything else costs one
// pass over that block.
//
// Holds no truth of its own: throw it away at any time. Not safe to share between threads.
//
//   Advisor advisor(season);                     // once; the season must outlive it
//   season.apply(record);
//   Verdict verdict = advisor.verdict_of("b1", "p3", now_ms);
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <string>

#include "advice/internal/context.h"
#include "advice/internal/counting_tally.h"
#include "advice/review/crew_board.h"
#include "advice/next/next_tree.h"
#include "advice/judged/standing.h"
#include "advice/judged/this_tree.h"
#include "advice/judged/verdict.h"

namespace nthtree::advice {

class Advisor {
 public:
  explicit Advisor(const ledger::Season& season) : season_(&season) {}

  // Everything known of a block now; null where there is no such block. Good until the next call.
  const BlockContext* context(const std::string& block, std::int64_t now_ms);

  BlockStandings block_standings(const std::string& block, std::int64_t now_ms);
  Standing standing_of(const std::string& block, const std::string& person, std::int64_t now_ms);
  Verdict verdict_of(const std::string& block, const std::string& person, std::int64_t now_ms);
  NextTree next_tree(const std::string& block, const std::string& person,
                     orchard::TreeAddress from, std::int64_t now_ms);
  TreeAdvice this_tree(const std::string& block, int spurs, std::int64_t now_ms);
  Drift drift_of(const std::string& block, const std::string& person, std::int64_t now_ms);
  std::vector<CrewRow> crew_board(const std::string& block, std::int64_t now_ms);

 private:
  struct Sizes {  // of a block's lists when last looked at, to tell an append from a change
    std::uint64_t revision = 0;
    std::size_t tags = 0, all = 0;  // tags: up to cut_ms_
    ledger::Place last_tag;
  };
  struct Held {
    Sizes sizes;
    std::shared_ptr<BlockEvidence> evidence;
    CountingTally tally;
    std::shared_ptr<const BlockLevels> levels;  // as other blocks see it; empty when stale
    std::uint64_t levels_bias_version = 0;
  };

  Sizes sizes_of(const ledger::BlockSeason& block) const;
  bool only_tags_added(const Held& held, const ledger::BlockSeason& block) const;
  void refresh(Held& held, const ledger::BlockSeason& block);
  void forget_what_time_changed(std::int64_t now_ms);
  void refresh_bias();

  const ledger::Season* season_;
  std::uint64_t season_revision_ = ~std::uint64_t{0};
  std::map<std::string, Held> held_;
  std::shared_ptr<const CountingBias> bias_;
  std::uint64_t bias_version_ = 0;
  bool bias_stale_ = true;
  // What is looked at. A cut is moved on once a day, so that what was held stays good meanwhile.
  std::int64_t begins_ms_ = 0, cut_ms_ = 0, looked_ms_ = 0;
  std::string leads_;
  std::map<std::string, BlockContext> contexts_;  // of the present season revision
};

}  // namespace nthtree::advice
