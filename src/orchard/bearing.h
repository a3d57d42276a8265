// SPDX-License-Identifier: Apache-2.0
//
// Does a block bear every other year? The index of biennial bearing.
//
// Sum over successive years of |difference| ÷ sum, divided by the number of pairs: 0 for the same
// crop each year, 1 for a crop every other year (T. N. Hoblyn, N. H. Grubb, A. C. Painter and B. L.
// Wates, Journal of Pomology 14:39, 1936; formula from memory). Pooled: the differences' sum over
// the sums' sum, which heavy years weigh more. Read it with care: independent yields give 0.39
// where they are uniform, so a few years prove nothing.
//
//   double index = biennial_index(std::vector<double>{100, 20, 90, 30})->mean;   // 0.6010
#pragma once

#include <span>

#include "base/result.h"

namespace nthtree::orchard {

struct BiennialIndex {
  double mean = 0;    // of the pairs, 0 to 1
  double pooled = 0;  // 0 to 1
  int pairs = 0;      // of years; a pair without any crop counts as 0
};

// crops: one number a year in order (fruits, kilograms, boxes), each 0 or more. Errors: too_few
// (under two years), out_of_range.
base::Result<BiennialIndex> biennial_index(std::span<const double> crops);

// What the mean index of independent years comes to where yields are uniform: 2 ln 2 - 1.
inline constexpr double biennial_index_by_chance = 0.3862943611198906;

}  // namespace nthtree::orchard
