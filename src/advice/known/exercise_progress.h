// SPDX-License-Identifier: Apache-2.0
//
// A counting exercise while it goes on: which trees, who has counted what, what is left to whom.
//
// An exercise is not planned in a record of its own: its trees are those that somebody counted for
// it, in the order in which they were first counted, so that a phone without a network takes part
// as soon as it has seen one count. Everybody counts every tree once, and then all again in the
// reverse order: a number is harder to remember when other trees lie between.
//
//   ExerciseProgress now = exercise_progress(block, latest_exercise(block));
//   if (auto next = now.next_for("p3")) …
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "ledger/season.h"

namespace nthtree::advice {

inline constexpr int exercise_rounds = 2;

struct ExerciseTurn {
  orchard::TreeAddress tree;
  int round = 1;
};

struct ExerciseProgress {
  std::string id;
  std::int64_t began_ms = 0;
  std::vector<orchard::TreeAddress> trees;               // in the order first counted
  std::map<std::string, std::vector<int>> times;         // by person: how often each of `trees`

  // The tree and round this person counts next; nothing where they are through.
  std::optional<ExerciseTurn> next_for(const std::string& person) const;
  // Counts that this person still owes, of all trees twice.
  int left_for(const std::string& person) const;
  int done_by(const std::string& person) const;
};

// Of the exercise begun last in that block; empty where there is none.
std::string latest_exercise(const ledger::BlockSeason& block);
ExerciseProgress exercise_progress(const ledger::BlockSeason& block, const std::string& id);

}  // namespace nthtree::advice
