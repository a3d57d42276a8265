// SPDX-License-Identifier: Apache-2.0
#include "orchard/crop.h"

#include <algorithm>

#include "orchard/target.h"
#include "orchard/units.h"

namespace nthtree::orchard {

double seeds_at_bloom(double flowering_spurs, double flowers_per_spur, double seeds_per_fruit) {
  return flowering_spurs * flowers_per_spur * seeds_per_fruit;
}

YearPair on_and_off_year(double flowering_spurs, double on_floral_fraction,
                         double off_floral_fraction) {
  return {on_floral_fraction, off_floral_fraction,
          spurs_to_leave(flowering_spurs, on_floral_fraction),
          spurs_to_leave(flowering_spurs, off_floral_fraction)};
}

double share_over_target(double spurs_per_tree, double target_spurs_per_tree) {
  return spurs_per_tree / target_spurs_per_tree - 1;
}

double limbs_that_carry(double spurs, double spurs_on_tree, int limbs) {
  if (spurs_on_tree <= 0 || limbs <= 0) return 0;
  return whole_half_up(std::clamp(spurs / spurs_on_tree, 0.0, 1.0) * limbs);
}

double fruitlets_to_thin(double flowering_spurs, double fruitlets_per_spur,
                         double fruits_per_tree) {
  return std::max(0.0, flowering_spurs * fruitlets_per_spur - fruits_per_tree);
}

double thinning_hours(double fruitlets_per_tree, double trees, double fruitlets_per_hour) {
  return fruitlets_per_tree * trees / fruitlets_per_hour;
}

}  // namespace nthtree::orchard
