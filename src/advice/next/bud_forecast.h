// SPDX-License-Identifier: Apache-2.0
//
// Green tip and bloom of a block ahead, from a station's daily temperatures.
//
// Degree-days above 43 °F are added up from 1 January (1 July where the date the farm expects lies
// in the second half of the year) and held against published sums (orchard/bud_stages.h), times
// what green tip took in this block in earlier springs (known/own_green_tip.h). Days to come are
// taken from the same dates of each earlier year that the station has; where it has none, as if
// they went on as the last ten, half as warm and twice as warm (ours, no source). The window holds
// both sums, both curves, every such spring, missing days as cold and as warm as can be, and the
// days by which such forecasts were off. Missing days are never filled: then no likely day is
// told. Not here: what the farm expects or saw, which come first (block settings, growth stages).
//
//   BudForecast ahead = bud_forecast(season, "b1", now_ms);
//   if (ahead.state == ForecastState::known) show(ahead.green_tip().early, ahead.green_tip().late);
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "advice/known/own_green_tip.h"
#include "ledger/season.h"
#include "orchard/station_file.h"

namespace nthtree::advice {

enum class ForecastState {
  no_temperatures,  // none since counting begins
  not_begun,        // counting begins on a day to come
  too_cold,         // no warmth so far, and no earlier spring to go by
  known,
};

// Days are days since 1970-01-01; 0 where the day cannot be told.
struct StageAhead {
  const char* name = "";
  int bbch = 0;
  std::int64_t likely = 0, early = 0, late = 0;
  std::int64_t by_triangle = 0;  // the likely day by the other curve
  std::int64_t seen = 0;         // somebody saw it: nothing is to be foretold
  double sum_low_f = 0, sum_high_f = 0;  // that it takes in this block
};

struct BudForecast {
  ForecastState state = ForecastState::no_temperatures;
  std::int64_t start = 0, last = 0;  // first day counted, last day with temperatures
  double sum_sine = 0, sum_triangle = 0;  // °F degree-days so far
  std::vector<double> sums_sine;          // day by day; a missing day adds nothing
  double a_day_lately = 0;                // of the last ten, by sine
  int days_ahead = 0;                     // of them after today: as somebody typed them
  std::vector<int> earlier_years;         // how many years back; empty: as the last ten days
  std::vector<orchard::StationGap> gaps;
  OwnGreenTip own;                        // what the sums are multiplied by
  std::array<StageAhead, 2> stages;       // green tip, bloom

  const StageAhead& green_tip() const { return stages[0]; }
  const StageAhead& bloom() const { return stages[1]; }
};

BudForecast bud_forecast(const ledger::Season& season, const std::string& block,
                         std::int64_t now_ms);

}  // namespace nthtree::advice
