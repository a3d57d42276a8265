// SPDX-License-Identifier: Apache-2.0
//
// Trees an hour by pruner, hours left in a block, and the date it will be finished against green
// tip, with interval.
//
// Trees an hour are log-normal from spell to spell; a pruner's own rate is drawn towards the
// crew's by a normal posterior, and days differ by a tenth that all share. Cold, sun and wind are
// not modelled: a working day is the farm's hours_per_day, every day of the week.
//
//   Pace pace = pace_of(season, "b1", now_ms);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

struct PrunerPace {
  std::string person;
  orchard::Estimate trees_per_hour;  // 90 %
  int trees = 0;
  double hours = 0;
  int active_days = 0;  // of the last seven with a spell in this block
};

struct Pace {
  std::vector<PrunerPace> pruners;
  std::int64_t trees = 0, trees_done = 0, trees_left = 0;
  double hours_done = 0;             // person-hours noted here so far
  orchard::Estimate trees_per_hour;  // of one person of the crew here
  double rate_log_sd = 0;            // of its ln: crew, people still to come, weather
  orchard::Estimate hours_left;      // person-hours
  double people = 0;                 // working here on the last working day
  std::int64_t finish_day = 0;       // days since 1970, likely; 0 where not known
  std::int64_t finish_day_early = 0, finish_day_late = 0;
  bool has_green_tip = false;
  std::int64_t green_tip_day = 0;
  double probability_in_time = 0;    // finished before green tip
  double people_needed = 0;          // to finish in time
  // In the farm's own money, at its wage; 0 where that is not set.
  double labour_cost = 0;            // of the hours so far
  orchard::Estimate labour_left;     // of the hours left
};

Pace pace_of(const ledger::Season& season, const std::string& block, std::int64_t now_ms);

}  // namespace nthtree::advice
