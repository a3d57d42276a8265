// SPDX-License-Identifier: Apache-2.0
#include "advice/known/exercise_progress.h"

#include <algorithm>
#include <set>

#include "advice/internal/current.h"

namespace nthtree::advice {

std::optional<ExerciseTurn> ExerciseProgress::next_for(const std::string& person) const {
  const auto found = times.find(person);
  for (int round = 1; round <= exercise_rounds; ++round) {
    for (std::size_t i = 0; i < trees.size(); ++i) {
      const std::size_t at = round % 2 == 1 ? i : trees.size() - 1 - i;
      const int counted = found == times.end() ? 0 : found->second[at];
      if (counted < round) return ExerciseTurn{trees[at], round};
    }
  }
  return std::nullopt;
}

int ExerciseProgress::done_by(const std::string& person) const {
  const auto found = times.find(person);
  if (found == times.end()) return 0;
  int done = 0;
  for (int counted : found->second) done += std::min(counted, exercise_rounds);
  return done;
}

int ExerciseProgress::left_for(const std::string& person) const {
  return exercise_rounds * static_cast<int>(trees.size()) - done_by(person);
}

std::string latest_exercise(const ledger::BlockSeason& block) {
  std::set<std::string> seen;
  std::string latest;
  for_current(block.exercise_counts, always, [&](const auto& entry) {
    if (seen.insert(entry.body.exercise).second) latest = entry.body.exercise;
  });
  return latest;
}

ExerciseProgress exercise_progress(const ledger::BlockSeason& block, const std::string& id) {
  ExerciseProgress result;
  result.id = id;
  std::map<std::int64_t, std::size_t> place;
  for_current(block.exercise_counts, always, [&](const auto& entry) {
    if (entry.body.exercise != id) return;
    if (result.trees.empty()) result.began_ms = entry.at_ms();
    if (place.emplace(tree_key(entry.body.tree), result.trees.size()).second) {
      result.trees.push_back(entry.body.tree);
    }
  });
  for_current(block.exercise_counts, always, [&](const auto& entry) {
    if (entry.body.exercise != id) return;
    std::vector<int>& own = result.times[entry.author];
    own.resize(result.trees.size());
    ++own[place.at(tree_key(entry.body.tree))];
  });
  return result;
}

}  // namespace nthtree::advice
