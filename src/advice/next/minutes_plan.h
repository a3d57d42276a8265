// SPDX-License-Identifier: Apache-2.0
//
// What a day's minutes of counting are best spent on: how many trees, how many limbs of each, how
// many looks, and the lead's walk; and in how many days an answer is to be expected of it.
//
// The best share for the components learnt in the block (trees, limbs, eyes) and the seconds
// measured there (stats/allocation.h). Trees and limbs are fixed before: to stop when the time is
// up would drop the large trees. Days: until half of those who leave two fifths too many are told
// at Wald's line, night by night (internal/boundary.h), with what the day's counts and looks bring;
// one and a half tolerances off are hardly ever told at ten minutes a day, as hands move overnight.
//
//   MinutesPlan plan = plan_minutes(season, "b1", {.pruner = 10, .lead = 30}, now_ms);
//   if (plan.trees > 0) say(plan.trees, plan.limbs, plan.looks, plan.days);
#pragma once

#include <cstdint>
#include <string>

#include "ledger/season.h"

namespace nthtree::advice {

inline constexpr double far_off = 0.4;  // of the target, for whom `days` is said

struct MinutesWish {
  double pruner = 0;  // a day
  double lead = 0;    // of the walk, for all; 0: no walk
};

// Seconds as measured, drawn towards what is usual as if that were from ten counts.
struct CountingSeconds {
  double whole_tree = 305, tree = 50, limb = 15, look = 5;
};

struct MinutesPlan {
  int trees = 0;           // a pruner and day; 0: no minutes were planned
  int limbs = 0;           // of each; 0: whole trees
  int limbs_in_tree = 0;   // about so many
  int looks = 0;           // of the pruner's own, the counted trees among them; 0: none
  int walk_looks = 0;      // of the lead, at each pruner's trees; 0: no walk, or no eye for it yet
  double minutes = 0;      // of a pruner, as planned
  double gain = 1;         // variance of whole trees in the same minutes ÷ that of this plan
  bool over_budget = false;  // even two trees take longer than was wished
  int days = 0;            // until somebody far off is likely told; 0: not within thirty
  CountingSeconds seconds;
};

// What the farm's settings say.
MinutesWish minutes_wish(const ledger::Season& season);
CountingSeconds counting_seconds(const ledger::BlockSeason& block, std::int64_t now_ms);
MinutesPlan plan_minutes(const ledger::Season& season, const std::string& block,
                         const MinutesWish& wish, std::int64_t now_ms);

}  // namespace nthtree::advice
