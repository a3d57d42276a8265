// SPDX-License-Identifier: Apache-2.0
//
// The floral fraction of a block: of the buds cut open on spurs and on terminal buds of short
// shoots, the share that holds flowers, with the interval it is known to.
//
// Buds of a branch, and branches of a tree, resemble each other, so trees are the sampling units:
// ratio estimator with its variance over trees (W. G. Cochran, Sampling Techniques, 3rd ed. 1977,
// 3.12), interval by t on the logit, drawn in (stats/cluster_proportion.h); of one tree alone, or
// of one position, by Wilson's form on the effective sample size (E. L. Korn and B. I. Graubard,
// Survey Methodology 24, 1998, p. 193).
// Lateral buds on one-year wood are left out. Does not model: change over the winter.
//
//   FloralFraction floral = floral_fraction(*season.block("b1"));
//   if (floral.known) show(floral.fraction.value, floral.branches_more);
#pragma once

#include <string>
#include <vector>

#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

enum class FloralWarning {
  none,
  one_tree_only,      // no spread between trees is seen: the default design effect is used
  few_buds,           // fewer than 30 buds in all
  upper_lower_apart,  // upper and lower branches disagree: sample both evenly
  one_position_only,  // only upper, or only lower, branches so far
};

struct FloralFraction {
  bool known = false;             // at least one usable bud
  orchard::Estimate fraction;     // 0 … 1, interval of 90 %
  double standard_error = 0;      // of the fraction, over trees; of one tree, by the design effect
  orchard::Estimate upper, lower; // by position; value -1 where there is none
  double upper_lower_p = 1;       // two-sided p of equal fractions, over trees
  int trees = 0, branches = 0, buds = 0, lateral_left_out = 0;
  int spur_buds = 0, terminal_buds = 0;
  double design_effect = 1;       // variance against that of as many independent buds
  double effective_buds = 0;
  double relative_half_width = 1; // half the interval against the fraction
  int branches_more = 0;          // still to cut for the precision to begin with …
  int branches_for_verdicts = 0;  // … and until the target is no hindrance to verdicts
  std::vector<FloralWarning> warnings;  // never holds `none`
};

// Relative half widths aimed at. ±15 % of the fraction is enough to set a target and begin. A
// verdict wants more: known to ±5 % it takes about a third more trees than known exactly, to ±8 %
// more than twice as many, and at ±15 % no number of trees would do (oc/uncertain_target.md).
inline constexpr double half_width_to_begin = 0.15, half_width_for_verdicts = 0.05;

FloralFraction floral_fraction(const ledger::BlockSeason& block);

}  // namespace nthtree::advice
