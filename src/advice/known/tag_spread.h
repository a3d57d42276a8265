// SPDX-License-Identifier: Apache-2.0
//
// How the counted trees of a block differ: which shape the counts have and how well it fits, and
// how well their mean is known, with the stop lines of the books beside our own rule.
//
// Counts are the tags as written, before any mend and uncorrected: a shape is fitted to whole
// numbers. Stop lines: R. H. Green, Res. Popul. Ecol. 12 (1970), with Taylor's law; E. Kuno, Res.
// Popul. Ecol. 11 (1969), with Iwao's; both laws by least squares over the days of each person on
// the whole farm, and without three such days, Kuno's form with this block's own k (α = 0, β = 1 +
// 1/k). They stop an estimate, whatever it is; the verdict (verdict.h) stops a decision. Not
// modelled: that pruners differ, which widens the block's spread.
//
//   TagSpread spread = tag_spread(season, "b1", now_ms);
#pragma once

#include <cstdint>
#include <string>

#include "ledger/season.h"

namespace nthtree::advice {

enum class SpreadShape { not_known, poisson, negative_binomial, log_normal };

struct StopLine {
  bool known = false;
  double first = 0, second = 0;  // Green: Taylor's a, b; Kuno: Iwao's α, β
  double trees_needed = 0;       // at the present mean
  double total_needed = 0;       // of counts, at the present number of trees; 0 where no total does
  bool reached = false;
};

struct TagSpread {
  int counts = 0;
  double total = 0, mean = 0, squares = 0, sd = 0, cv = 0;  // squares: about the mean
  // Fits; 2 counts at least.
  SpreadShape shape = SpreadShape::not_known;  // the likelier one
  bool poisson = false;            // no more spread than Poisson's: k is infinite
  double k = 0, k_moments = 0, k_se = 0;       // by likelihood, by moments; 0 where infinite
  double log_mean = 0, log_sd = 0;
  double likelihood_gain = 0;      // ln likelihood, negative binomial less log-normal
  // Pearson's chi-square; df 0 where there are too few counts to tell (under twenty or so).
  double nb_chi_squared = 0, nb_df = 0, nb_p = 1;
  double ln_chi_squared = 0, ln_df = 0, ln_p = 1;
  // The mean as a systematic sample in walking order, finite population correction inside.
  double se_successive = 0, se_random = 0, correction = 1;
  double successive_squares = 0;   // of the differences of trees that follow each other, summed
  // Fixed precision: relative standard error aimed at.
  double precision = 0;
  int groups = 0;                  // days of a person behind the two laws
  StopLine green, kuno;
};

// relative_half_width: of the mean, at 90 %; the precision is that ÷ 1.645.
TagSpread tag_spread(const ledger::Season& season, const std::string& block,
                         std::int64_t now_ms, double relative_half_width = 0.10);

}  // namespace nthtree::advice
