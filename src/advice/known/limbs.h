// SPDX-License-Identifier: Apache-2.0
//
// What a count of some limbs leaves open of its tree: how the limbs of one tree differ, learnt by
// block, and the variance that this puts into a tree's number.
//
// A tree of L limbs of which k were counted is L times their mean (stats/part_total.h). Relative to
// the tree its variance is W φ (1/k - 1/L): W the variance between the limbs of a tree relative to
// their mean squared, φ what an even step leaves of it. Both start from 19 real trees (Z. Brym and
// S. K. M. Ernest, PeerJ; tests/reference/apple_limbs_test.cpp): limbs differ by half their mean,
// φ is 0.65 to 0.69 over every 2nd to 4th limb; 0.75 is taken. Sums add up over trees and blocks.
//
//   LimbSums limbs;
//   limbs.add(counted, 20);
//   double open = part_variance(limbs.variance(), 5, 20);
#pragma once

#include <vector>

namespace nthtree::advice {

struct LimbSums {
  double squares = 0;  // of limbs about their tree's mean, relative to it
  double df = 0;
  double trees = 0;

  // The limbs counted on one tree of that many.
  void add(const std::vector<int>& limbs, int limbs_in_tree);
  void add(const LimbSums& other);
  double variance() const;  // W, with the prior
};

inline constexpr double limb_cv_prior = 0.50, limb_df_prior = 12;
inline constexpr double step_factor = 0.75;  // φ

// Relative to the tree; 0 where all limbs were counted (or k is 0: a whole count).
double part_variance(double limb_variance, int counted, int limbs_in_tree);

}  // namespace nthtree::advice
