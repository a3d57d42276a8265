// SPDX-License-Identifier: Apache-2.0
//
// What follows from a number of spurs: seeds, on-years and off-years, fruitlets, limbs, hours.
//
// Plain arithmetic on whole trees, each function one line of a grower's notebook; advice turns
// them into sentences. Does not model fruit set, drop or weather: where a rate is needed it is an
// argument.
//
//   YearPair pair = on_and_off_year(131);          // 146 to leave at 90 % floral, 437 at 30 %
//   double over = share_over_target(620, 146);     // 3.25 times too many
#pragma once

namespace nthtree::orchard {

// Seeds at bloom on one tree: flowering spurs × flowers a spur × seeds a fruit. Every seed sends
// the hormones that keep next year's buds from flowering, so this is what biennial bearing rides
// on. All arguments 0 or more.
double seeds_at_bloom(double flowering_spurs, double flowers_per_spur, double seeds_per_fruit);

// The same block in a year of many and a year of few flower buds.
struct YearPair {
  double on_floral_fraction;
  double off_floral_fraction;
  double on_spurs_to_leave;  // whole
  double off_spurs_to_leave;
};
// Defaults: 90 % and 30 %, common practice, no source.
YearPair on_and_off_year(double flowering_spurs, double on_floral_fraction = 0.9,
                         double off_floral_fraction = 0.3);

// How far over (positive) or under (negative) the target a number of spurs is, as a share of the
// target: 0.5 is half as many again. Target positive.
double share_over_target(double spurs_per_tree, double target_spurs_per_tree);

// Whole limbs that carry `spurs` where a tree of `limbs` limbs holds `spurs_on_tree`, rounded half
// up; 0 where the tree is bare. Takes limbs as alike, which they are not: a guide for the hands.
double limbs_that_carry(double spurs, double spurs_on_tree, int limbs);

// Fruitlets to take off one tree by hand: flowering spurs × fruitlets that set on each, less the
// fruits wanted; never negative. NIAB (guidance on dissecting buds): with 5-6 flowers a spur, one
// in six sets, so 1 fruitlet a spur before any insurance; a good set leaves 2 or more.
double fruitlets_to_thin(double flowering_spurs, double fruitlets_per_spur,
                         double fruits_per_tree);

// Hours of hand thinning for a block; rate in fruitlets an hour, positive.
double thinning_hours(double fruitlets_per_tree, double trees, double fruitlets_per_hour);

}  // namespace nthtree::orchard
