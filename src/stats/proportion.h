// SPDX-License-Identifier: Apache-2.0
//
// Intervals and one-sided limits for a binomial proportion.
//
// For independent trials only: buds that share a branch are not (cluster_proportion.h). Trials and
// successes may be fractions, so that an effective sample size can be used. All results stay in
// [0, 1] but Agresti-Coull's, which is published unclipped and clipped here only on request.
// Sources: Wilson (1927) JASA 22:209; Newcombe (1998) Stat. Med. 17:857 for the continuity
// correction; Clopper and Pearson (1934) Biometrika 26:404; Brown, Cai and DasGupta (2001)
// Stat. Sci. 16:101 for Jeffreys and Agresti-Coull.
//
//   auto interval = proportion_interval(ProportionMethod::wilson, 68, 100, 0.95);
//   if (interval) show(interval->low, interval->high);  // 0.583, 0.763
#pragma once

#include "stats/interval.h"

namespace nthtree::stats {

enum class ProportionMethod {
  wilson,             // score interval; the default choice
  wilson_continuity,  // the same with continuity correction; never below nominal by much
  clopper_pearson,    // exact, covers at least the nominal rate
  jeffreys,           // equal-tailed posterior under Beta(1/2, 1/2); ends 0 and 1 at 0 and n
  agresti_coull,      // adjusted Wald; may leave [0, 1]
};

// 0 <= successes <= trials, 0 < trials <= 1e9. Errors: out_of_range.
Result<Interval> proportion_interval(ProportionMethod method, double successes, double trials,
                                     double confidence = 0.95);

// One-sided limit: with chance `confidence` the proportion lies above it.
Result<double> proportion_lower_limit(ProportionMethod method, double successes, double trials,
                                      double confidence = 0.95);

// Interval for a proportion known as if from n_effective independent trials whose variance was
// itself estimated with df degrees of freedom: the effective size is cut by (z/t)², then the chosen
// method is used (Korn and Graubard 1998, Survey Methodology 24:193, step 2).
Result<Interval> proportion_interval_effective(ProportionMethod method, double proportion,
                                               double n_effective, double df,
                                               double confidence = 0.95);

}  // namespace nthtree::stats
