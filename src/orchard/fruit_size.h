// SPDX-License-Identifier: Apache-2.0
//
// Box counts, grams and diameters of apples, and the cross-section of a trunk.
//
// A box count is the number of fruits that fill one box, so it means nothing without the box's
// weight: 100 count is 190.5 g in a 42 lb box (HortScience 54(11):1947, 2019, abstract) and
// 181.4 g in a 40 lb one (Washington State Department of Agriculture, "Standard Pack Size –
// Weight-Count Converter Chart for Fruit", 2010-12). The caller always says which box.
//
//   double g = grams_from_count(100, kg_from_lb(42));   // 190.5
#pragma once

namespace nthtree::orchard {

// Mean fruit weight in grams where `count` fruits fill a box of `box_kg`. Both positive.
double grams_from_count(double count, double box_kg);
// The reverse: how many fruits of `grams` fill a box of `box_kg`.
double count_from_grams(double grams, double box_kg);

// Mean fruit weight in grams for a diameter in mm, by the WSDA chart named above (72 count 3½ in
// … 163 count 2½ in, in a 40 lb box), log-log between its rows and by the cube of the diameter
// outside them. The chart is a packer's rule: it is not monotone in density and a farm's own
// scale beats it. Increasing in the diameter; diameter positive.
double grams_from_diameter(double diameter_mm);

// Cross-sectional area of a trunk in cm², taken as round, from its girth or its diameter in mm.
double trunk_cm2_from_girth(double girth_mm);
double trunk_cm2_from_diameter(double diameter_mm);

}  // namespace nthtree::orchard
