// SPDX-License-Identifier: Apache-2.0
//
// The public functions of this folder for a screen that asks again after every count: the same
// answers, but only what a new record touched is worked out anew, as the season tells it
// (ledger/change_log.h). A tag count at the end of a block's list costs its person's counts of that
// day and one look at the block's people (an eighth of a millisecond, 200,000 records); anything
// else costs one pass over that block. What is asked for twice is kept: evidence until it changes,
// standings and verdicts as long as the season does not.
//
// Holds no truth of its own: throw it away at any time. Not safe to share between threads.
//
//   Advisor advisor(season);                     // once; the season must outlive it
//   season.apply(record);
//   Verdict verdict = advisor.verdict_of("b1", "p3", now_ms);
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "advice/judged/acceptance.h"
#include "advice/judged/standing.h"
#include "advice/judged/this_tree.h"
#include "advice/judged/verdict.h"
#include "advice/next/next_tree.h"
#include "advice/review/crew_board.h"

namespace nthtree::advice {

struct BlockContext;  // internal/context.h

class Advisor {
 public:
  explicit Advisor(const ledger::Season& season);
  ~Advisor();

  // Everything known of a block now; null where there is no such block. Good until the next call.
  const BlockContext* context(const std::string& block, std::int64_t now_ms);

  // These stand as long as the season does not change. Of a block nobody knows: empty.
  const BlockStandings& block_standings(const std::string& block, std::int64_t now_ms);
  const Standing& standing_of(const std::string& block, const std::string& person,
                              std::int64_t now_ms);
  const Verdict& verdict_of(const std::string& block, const std::string& person,
                            std::int64_t now_ms);
  NextTree next_tree(const std::string& block, const std::string& person,
                     orchard::TreeAddress from, std::int64_t now_ms);
  // By the number of a tree of its size, where the block asks for sizes.
  TreeAdvice this_tree(const std::string& block, const orchard::TreeAddress& tree, int spurs,
                       std::int64_t now_ms);
  Drift drift_of(const std::string& block, const std::string& person, std::int64_t now_ms);
  std::vector<CrewRow> crew_board(const std::string& block, std::int64_t now_ms);
  Acceptance accept_block(const std::string& block, std::int64_t now_ms);

 private:
  class State;
  std::unique_ptr<State> state_;
};

}  // namespace nthtree::advice
