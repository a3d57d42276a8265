// SPDX-License-Identifier: Apache-2.0
//
// Signs that numbers were rounded, copied or made up rather than counted.
//
// Signs, not proof: a p value says how often honest counting would look like this. Terminal digits
// are uniform only when counts spread over two tens or more (sd of 10 up): with fewer nothing is to
// be asked. Sources: binomial tail of terminal digits and of repeats; variance ratio for spread.
//
//   if (so_many_is_rarer_than(0.001, rounded, counts, round_ending_chance)) …   // too many 0 or 5
#pragma once

#include <cstddef>

#include "stats/interval.h"

namespace nthtree::stats {

// Chance of `hits` or more of n where each comes with chance p (0 … 1): the exact binomial tail.
double chance_of_so_many(std::size_t hits, std::size_t n, double p);
// chance_of_so_many(hits, n, p) < level, for less work: the tail is no rarer than its first term
// alone, and that term settles nearly every honest case.
bool so_many_is_rarer_than(double level, std::size_t hits, std::size_t n, double p);

// Honest counts end in 0 or 5 with this chance, where they spread over two tens or more.
inline constexpr double round_ending_chance = 0.2;

struct SpreadTest {
  double ratio = 1;       // variance over the expected one
  double p_too_little = 1;
  double p_too_much = 1;
};

// Do values spread as expected? Their variance with df degrees of freedom against that of the rest
// of the crew or of the check counts, known with expected_df (infinite: exactly), df > 0 each. F
// test; kurtosis above the normal one makes p too small, so demand strong evidence.
Result<SpreadTest> spread_test_of_variances(double variance, double df, double expected_variance,
                                            double expected_df);

}  // namespace nthtree::stats
