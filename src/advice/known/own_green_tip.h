// SPDX-License-Identifier: Apache-2.0
//
// How much of the station's warmth green tip takes in a block, learnt from the springs in which
// somebody noted it there: a block that lies lower or higher than the station is later or earlier
// than the published sums (orchard/bud_stages.h) by about the same factor each year.
//
// Each noted green tip gives ln(sum by single sine ÷ published middle). The farm's level is drawn
// towards the published one, a block's difference from the other blocks of the same springs towards
// none: what a year did to all of them cancels in it. Normal beliefs with known variances (A.
// Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, section 2.5). Published sums scatter from 24
// to 161 (sd 0.32 of their middle); a spring by the four days that such forecasts are off, at 6 °F
// degree-days a day 0.22; blocks by 0.15 and a note by 0.12 (two days) are common practice, no
// source. Sums are of the block's own station; a note counts where that station's days before it
// are whole and its warmth is credible.
// Not modelled: another factor in warm springs than in cold ones; a station that was moved.
//
//   OwnGreenTip own = own_green_tip(season, "b1", first_day_of_this_spring);
//   double wanted_f = own.ratio * (stage.sum_low_f + stage.sum_high_f) / 2;
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "ledger/season.h"

namespace nthtree::advice {

enum class NoteUse {
  used,
  days_missing,  // the station has not all days up to it
  too_cold,      // less warmth by then than half of the least ever published
  too_warm,      // more than twice the most
};

// Green tip as somebody noted it; days since 1970-01-01.
struct NotedGreenTip {
  std::string block;
  std::int64_t spring = 0;  // the first day counted
  std::int64_t day = 0;
  double sum_f = 0;         // °F degree-days from spring to day, by single sine
  NoteUse use = NoteUse::used;
};

struct OwnGreenTip {
  std::vector<NotedGreenTip> noted;  // of all blocks, spring by spring
  int springs = 0;                   // used, of this block
  int farm_springs = 0;              // used, of any block
  double farm_log = 0;               // ln of the farm's sum over the published one
  double block_log = 0;              // what this block has beside it
  double ratio = 1;                  // of both
};

// From springs before the day `this_spring`, which begin on the same day of the year.
OwnGreenTip own_green_tip(const ledger::Season& season, const std::string& block,
                          std::int64_t this_spring);

// Temperatures as they are added up.
orchard::DayTemperatures in_fahrenheit(const orchard::DayTemperatures& celsius);

}  // namespace nthtree::advice
