// SPDX-License-Identifier: Apache-2.0
//
// How much warmth apple buds take to green tip and to bloom: published sums of degree-days above
// 43 °F by single sine (degree_days.h), of McIntosh, from 1 January.
//
// Green tip: 100 to 120, with the 24 to 161 that were seen at Geneva, New York, beside it (UMass
// Extension, Healthy Fruit, 2018 and 2019; Cornell University, Scaffolds Fruit Journal, 20 March
// 1995). Pink 267 to 316 and petal fall 439 to 523 (the same table of Cornell); for bloom itself no
// sum was found, so it lies between pink and petal fall. Forecasts from such sums were off by four
// days (Nova Scotia, twelve years) to a root mean square of one to six (Trentino, Belgium). Not
// modelled: chill, other varieties, the hill above the station. Local advice comes first.
//
//   const BudStage& green_tip = bud_stages()[0];
#pragma once

#include <span>

namespace nthtree::orchard {

struct BudStage {
  const char* name;  // snake_case, a language key's last part
  int bbch;          // of pome fruit
  double sum_low_f, sum_high_f;  // °F degree-days that it takes, as published
};

// Green tip and bloom, in order.
std::span<const BudStage> bud_stages();

// Days by which such a forecast is loose whatever the sums say.
inline constexpr int stage_days_loose = 5;

}  // namespace nthtree::orchard
