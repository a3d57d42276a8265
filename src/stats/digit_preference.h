// SPDX-License-Identifier: Apache-2.0
//
// Signs that numbers were rounded, copied or made up rather than counted.
//
// Signs, not proof: a p value says how often honest counting would look like this. Terminal digits
// are uniform only when counts spread over two tens or more (sd of 10 up); with fewer the test says
// nothing and gives p = 1. Sources: chi-square of terminal digits (Preece 1981, The Statistician
// 30:31, from memory); variance ratio for spread; binomial tail for exact matches.
//
//   auto digits = digit_preference(counts);
//   if (digits && digits->p_rounding < 0.01) …   // too many end in 0 or 5
#pragma once

#include <array>
#include <cstddef>
#include <span>

#include "stats/interval.h"

namespace nthtree::stats {

// Chance of `hits` or more of n where each comes with chance p (0 … 1): the exact binomial tail.
double chance_of_so_many(std::size_t hits, std::size_t n, double p);
// chance_of_so_many(hits, n, p) < level, for less work: the tail is no rarer than its first term
// alone, and that term settles nearly every honest case.
bool so_many_is_rarer_than(double level, std::size_t hits, std::size_t n, double p);

// Honest counts end in 0 or 5 with this chance, where they spread over two tens or more.
inline constexpr double round_ending_chance = 0.2;

struct DigitPreference {
  std::size_t n = 0;
  std::array<double, 10> digits{};  // how many counts end in 0 … 9
  bool spread_enough = false;       // sd >= 10: the tests below mean something
  double chi_squared = 0;           // against ten equal shares, 9 degrees of freedom
  double p_value = 1;               // of it; rough below 50 counts
  double share_0_or_5 = 0;          // 0.2 is expected
  double p_rounding = 1;            // exact binomial chance of as many endings in 0 or 5
};

// Five whole counts >= 0 or more.
Result<DigitPreference> digit_preference(std::span<const double> counts);

struct SpreadTest {
  std::size_t n = 0;
  double sd = 0;
  double ratio = 1;       // variance over the expected one
  double p_too_little = 1;
  double p_too_much = 1;
};

// Do values spread as expected? expected_sd > 0 from the rest of the crew or from the check counts,
// known with expected_df degrees of freedom (infinite: exactly). F test; kurtosis above the normal
// one makes p too small, so demand strong evidence. Two values or more.
Result<SpreadTest> spread_test(std::span<const double> values, double expected_sd,
                               double expected_df);

// The same from variances already worked out, with df > 0 each; expected_df may be infinite.
Result<SpreadTest> spread_test_of_variances(double variance, double df, double expected_variance,
                                            double expected_df);

struct MatchTest {
  std::size_t n = 0;
  std::size_t matches = 0;
  double expected = 0;     // matches that honest counting would give
  double p_too_many = 1;
};

// Second counts that equal the first one too often: copied rather than counted. error_sd > 0 is the
// usual scatter of an honest difference. a and b whole, in the same order, one pair or more.
Result<MatchTest> match_test(std::span<const double> a, std::span<const double> b,
                             double error_sd);

}  // namespace nthtree::stats
