// SPDX-License-Identifier: Apache-2.0
//
// What the standings and verdicts of a block's pruners were made of: how trees differ, what the
// rest of the crew says, each level day by day, the lines of the verdict. For whoever checks one
// with a pencil; the answers themselves are the engine's (METHODS.md has the formulas' sources).
//
//   StandingSheet sheet = standing_sheet(season, "b1", now_ms);
//   for (const PrunerSheet& pruner : sheet.pruners) …
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "advice/known/day_spread.h"
#include "advice/known/eyes.h"
#include "advice/known/level_steps.h"
#include "advice/review/crew_board.h"
#include "advice/settings.h"
#include "ledger/season.h"

namespace nthtree::advice {

// A part of what is known of the spread: squares about a mean, relative to it, and how many of
// them are free.
struct SpreadPart {
  std::string person;   // whose counts here; empty where the part is not a person's
  double squares = 0, df = 0;
};

// variance = squares ÷ df; both are sums of the parts, the prior's among them.
struct BlockSpread {
  double prior_cv = 0, prior_df = 0;
  SpreadPart elsewhere, unpruned;   // other blocks, weakened; trees counted before pruning, halved
  std::vector<SpreadPart> people;
  double variance = 0, df = 0;
  double autocorrelation = 0, row_share = 0;
};

struct PrunerSpread {
  std::vector<DaySpread> days;      // two counts or more
  double squares = 0, df = 0;       // of this person, summed over days
  double block_weight = 0;          // what the block's spread weighs beside them, in df
  double variance = 0, total_df = 0;
  double counts_a_row = 1, inflation = 1;
  double open_mean = 0;             // of the counts, what limbs left out add, on average
  double count_variance = 0;        // variance × inflation + that: of one more count, of ln(level)
};

// variance = (prior_df × prior_cv² + squares) ÷ (prior_df + df); k of L limbs leave
// variance × step_factor × (1/k − 1/L) of a tree open.
struct LimbSheet {
  double prior_cv = 0, prior_df = 0;
  double squares = 0, df = 0, trees = 0;
  double variance = 0, step_factor = 1;
};

struct EyeSheet {
  std::string person;
  Eye eye;
};

struct CrewMate {
  std::string person;
  double mean = 0, variance = 0;    // of ln(level ÷ target), counting inside
};

// A pruner like the others, from their levels: mean and the variance between pruners, by EM with
// priors. The last round's weights are 1 ÷ (between_before + variance).
struct CrewTerms {
  double prior_mean = 0, prior_variance = 0, prior_between = 0, prior_weight = 0;
  std::vector<CrewMate> others;
  double between_before = 0, mean = 0, mean_variance = 0, between = 0;
};

struct PrunerSheet {
  CrewRow row;                      // standing, verdict, drift, counter
  PrunerSpread spread;
  CrewTerms crew;                   // without this pruner
  std::vector<LevelStep> steps;
  double level_mean = 0, level_variance = 0;  // of ln(level), counting not inside
  double pooled_mean = 0;           // the same as it is pooled with the crew
  double unchecked_share = 1;       // of the weight, what rests on tags alone
  double own_variance = 0, prior_variance = 0;  // target not inside
  BoundaryCheck check;
};

struct StandingSheet {
  Settings settings;
  // How levels move (METHODS.md): overnight, and when advice is given.
  double overnight_sd = 0, advice_taken = 0, advice_share_sd = 0, advice_sd = 0;
  double flat_variance = 0;         // a variance above this one says that nothing is known
  BlockSpread spread;
  LimbSheet limbs;
  std::vector<EyeSheet> eyes;       // of everybody who scored a tree that was counted
  std::vector<PrunerSheet> pruners; // in the order of the crew board
};

StandingSheet standing_sheet(const ledger::Season& season, const std::string& block,
                             std::int64_t now_ms);

}  // namespace nthtree::advice
