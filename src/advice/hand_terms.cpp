// SPDX-License-Identifier: Apache-2.0
#include "advice/hand_terms.h"

#include <cmath>

namespace nthtree::advice {

HandTerms hand_terms(double spurs, int limbs_per_tree, double spurs_per_tree) {
  const double amount = std::fabs(spurs);
  if (!(amount >= 0.5)) return {};
  if (limbs_per_tree >= 1) {
    const double limb = spurs_per_tree / limbs_per_tree;
    if (spurs > 0 && limb > 0 && amount >= 0.8 * limb && limbs_per_tree > 1) {
      return {HandUnit::limbs, std::fmax(1, std::round(2 * amount / limb) / 2)};
    }
    if (amount >= 0.75 * limbs_per_tree) {
      return {HandUnit::spurs_on_each_limb, std::fmax(1, std::round(amount / limbs_per_tree))};
    }
  }
  return {HandUnit::spurs_on_the_tree, std::fmax(1, std::round(amount))};
}

}  // namespace nthtree::advice
