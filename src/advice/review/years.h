// SPDX-License-Identifier: Apache-2.0
//
// A block's seasons side by side: what was planned, left, set, picked and bloomed again, whether it
// bears every other year, and what next winter's target could be.
//
// Each closed season is judged as it stood when it ended (Season::as_of_span), by the functions
// that judged it then. Return bloom is counted the spring after, so it is taken from the season
// that follows. Does not model: what sprays and hand thinning took off (learning.h says so).
//
//   for (const SeasonOfBlock& year : block_years(season, "b1", now_ms).seasons) …
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "advice/review/learning.h"
#include "ledger/season.h"
#include "orchard/bearing.h"

namespace nthtree::advice {

struct SeasonOfBlock {
  int year = 0;            // of the harvest; 0: the season at hand
  bool is_closed = false;
  double planned = 0;      // spurs to leave on a tree; 0: no target
  int counts = 0;
  orchard::Estimate left;  // spurs on a tree, 90 %; where counts > 0
  Learning learnt;         // set, picked; its return bloom is that of the spring after
};

struct BlockYears {
  std::string block;
  std::vector<SeasonOfBlock> seasons;             // in order, the one at hand last
  std::optional<orchard::BiennialIndex> bearing;  // of fruits a tree, from two picked years on
};

// Next winter's proposal, from the season that ends.
struct NextTarget {
  bool known = false;
  double insurance_now = 0, insurance_next = 0;  // the next one rounded to a hundredth
  double leave_now = 0, leave_in_hindsight = 0;  // spurs on a tree, at this season's floral share
  std::vector<Reason> reasons;                   // learn_…, next_…
};

BlockYears block_years(const ledger::Season& season, const std::string& block,
                       std::int64_t now_ms);
NextTarget next_target(const ledger::Season& season, const std::string& block);

}  // namespace nthtree::advice
