// SPDX-License-Identifier: Apache-2.0
#include "advice/hand_terms.h"

#include <cmath>

namespace nthtree::advice {
namespace {

// Nobody takes more whole limbs off a pruned tree than a quarter of them: beyond that the spurs
// on every limb are too many, not the limbs (common practice, no source).
double limbs_most(int limbs_per_tree) { return limbs_per_tree / 4.0; }

}  // namespace

HandTerms hand_terms(double spurs, int limbs_per_tree, double spurs_per_tree) {
  const double amount = std::fabs(spurs);
  if (!(amount >= 0.5)) return {};
  if (limbs_per_tree >= 1) {
    const double limb = spurs_per_tree / limbs_per_tree;
    const double limbs = limb > 0 ? std::fmax(1, std::round(2 * amount / limb) / 2) : 0;
    if (spurs > 0 && limb > 0 && amount >= 0.8 * limb && limbs <= limbs_most(limbs_per_tree)) {
      return {HandUnit::limbs, limbs};
    }
    if (amount >= 0.75 * limbs_per_tree) {
      return {HandUnit::spurs_on_each_limb, std::fmax(1, std::round(amount / limbs_per_tree))};
    }
  }
  return {HandUnit::spurs_on_the_tree, std::fmax(1, std::round(amount))};
}

}  // namespace nthtree::advice
