// SPDX-License-Identifier: Apache-2.0
//
// One day of the farm for the manager: everything the day's review shows, prints and exports.
//
//   DayReview review = day_review(season, season.day_of(now_ms), now_ms);
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "advice/judged/acceptance.h"
#include "advice/known/frost.h"
#include "advice/review/cost.h"
#include "advice/review/crew_board.h"
#include "advice/review/pace.h"
#include "ledger/season.h"

namespace nthtree::advice {

struct PrunerDay {
  std::string person, block;
  int counts = 0, checks = 0, trees = 0;
  double hours = 0;
  bool has_standing = false;   // counted here with a tag; who only re-counts has none
  Verdict verdict;             // at the day's end
  std::optional<VerdictKind> before;  // when the day began; empty where there was no count yet
  bool drifted = false;
  std::int64_t drift_began_ms = 0;
  int advice_given = 0;
  AdviceOutcome outcome = AdviceOutcome::none;
};

struct BlockDay {
  std::string block;
  int counts = 0, checks = 0;
  std::int64_t trees_today = 0;
  Acceptance acceptance;
  std::optional<AcceptanceKind> before;  // when the day began; empty where nothing was counted yet
  Pace pace;
  Cost cost;
  Verdict verdict;
  FrostAdvice frost;
};

struct DayReview {
  std::int64_t day = 0;             // days since 1970, local
  std::vector<PrunerDay> pruners;   // with any record that day
  std::vector<BlockDay> blocks;     // the same
  int counts = 0, checks = 0, advice_given = 0;
  std::int64_t trees = 0;
  double hours = 0;
  orchard::Estimate thinning_cost;  // over the blocks
  orchard::Estimate crop_lost_value;
  std::vector<Revisit> revisit;     // over the blocks, best first, at most 20
};

// The season as it stood at the end of that day (or at now_ms on the current day).
DayReview day_review(const ledger::Season& season, std::int64_t day, std::int64_t now_ms);

// The days that have anything to review, newest first, none later than now_ms.
std::vector<std::int64_t> days_with_records(const ledger::Season& season, std::int64_t now_ms);

}  // namespace nthtree::advice
