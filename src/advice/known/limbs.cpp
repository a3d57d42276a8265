// SPDX-License-Identifier: Apache-2.0
#include "advice/known/limbs.h"

#include <numeric>

namespace nthtree::advice {

void LimbSums::add(const std::vector<int>& limbs, int limbs_in_tree) {
  const double k = static_cast<double>(limbs.size());
  const double sum = std::accumulate(limbs.begin(), limbs.end(), 0.0);
  if (k < 2 || sum <= 0 || limbs_in_tree < 2) return;
  const double mean = sum / k;
  double about = 0;
  for (const int limb : limbs) about += (limb - mean) * (limb - mean);
  squares += about / (mean * mean);
  df += k - 1;
  trees += 1;
}

void LimbSums::add(const LimbSums& other) {
  squares += other.squares;
  df += other.df;
  trees += other.trees;
}

double LimbSums::variance() const {
  return (limb_df_prior * limb_cv_prior * limb_cv_prior + squares) / (limb_df_prior + df);
}

double part_variance(double limb_variance, int counted, int limbs_in_tree) {
  if (counted < 1 || counted >= limbs_in_tree) return 0;
  return limb_variance * step_factor * (1.0 / counted - 1.0 / limbs_in_tree);
}

}  // namespace nthtree::advice
