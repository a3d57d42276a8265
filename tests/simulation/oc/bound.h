// SPDX-License-Identifier: Apache-2.0
//
// What any test could reach, half a tolerance against one and a half, and what the best test
// reaches that has to learn the spread as ours does. `known_df` says what is known of the spread
// before the first count: as if from so many trees at the true one, beside the app's own prior;
// none: it is known exactly.
//
//   BestTest best = best_test(known, true, 12.0, 2000, seed);   // best.trees
#pragma once

#include <cstdint>
#include <optional>

#include "methods.h"

namespace nthtree::oc {

// Wald's inequality: no test whose errors are `alpha` and `beta` needs fewer counts on average at
// the far level than this (A. Wald, Sequential Analysis, 1947, appendix A.7), for trees of gamma
// shape, which differ from a log-normal's: below the target a count says less.
double bound_for_counts(const Known& known, bool up, double alpha, double beta);

struct BestTest {
  double trees = 0;     // on average at one and a half tolerances
  double told_near = 0; // at half a tolerance, over a day of a hundred looks: set to known.alpha
  double right = 0;     // at one and a half: set to 1 - known.beta
};

// The likelihood ratio of near against far, the spread integrated out over what is known of it,
// with both lines set by simulation to the rates asked for: what the same knowledge can reach.
BestTest best_test(const Known& known, bool up, std::optional<double> known_df, int paths,
                   std::uint64_t seed);

}  // namespace nthtree::oc
