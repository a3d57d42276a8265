// SPDX-License-Identifier: Apache-2.0
//
// How a pruner's level came about, day by day: the filter of evidence.h written down, so that a
// reader can follow it with a pencil. Within a day counts only add up, so a step is a day.
//
// Levels in shares of the target, variances relative to the level, which are those of its
// logarithm. Start with what other blocks say, if anything; overnight the level may have moved;
// the day's counts pull it; at advice it moves by what was told.
//
//   for (const LevelStep& step : level_steps(season, "b1", "p3", now_ms)) …
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "ledger/season.h"

namespace nthtree::advice {

struct LevelStep {
  enum class Kind { start, day, advised };
  Kind kind = Kind::day;
  // day: the level as a share of the target; variance_before holds what the night added.
  std::int64_t day = 0;
  int n = 0;                          // counts used
  // Spurs as pruners counted them: on trees not re-counted, and what mends took off the others;
  // and spurs of re-counts.
  double tags = 0, checks = 0;
  double mean_share = 0;
  double variance_of_one = 0;
  double spread = 0, inflation = 1;   // variance_of_one = spread × inflation
  int nights = 0;                     // since the last count; they added night_variance
  double night_variance = 0;
  // Counts of some limbs among n, and what they leave open, relative, added up: each weighs by its
  // own variance.
  int parts = 0;
  double open = 0, limb_variance = 0;
  struct Looks {
    int scores = 0;
    double share = 0, variance = 0;   // of the target; relative
  };
  std::vector<Looks> looks;
  bool flat = false;                  // nothing was known before
  double mean_before = 0, variance_before = 0;
  double mean_after = 0, variance_after = 0;
  // start and advised: ln(level) and its variance; told: the change asked for, in spurs, and what
  // ln(level) moves by.
  double told_spurs = 0, told_log = 0;
};

// Empty where the person has no count there. The last step ends at Standing::own, before counting
// bias and target are let in.
std::vector<LevelStep> level_steps(const ledger::Season& season, const std::string& block,
                                   const std::string& person, std::int64_t now_ms);

}  // namespace nthtree::advice
