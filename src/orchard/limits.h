// SPDX-License-Identifier: Apache-2.0
//
// What a number about an orchard may be. Outside these ranges it is a slip of the finger or the
// wrong unit, never a real orchard, and is refused with the range in the message.
//
// The ranges are ours (common practice, no source): wide enough for old standard trees and for
// the densest spindle planting, narrow enough that feet typed as metres or a percentage typed as
// a fraction is caught where it can be. Records, schema, screens, settings and command line all
// take them from here, so that a block that can be stored can be worked out, and what a screen lets
// somebody type can be stored.
//
//   if (auto bad = refuse_outside(row_m, limits::row_spacing_m, "row_spacing_m")) return *bad;
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"

namespace nthtree::orchard {

struct Range {
  double low = 0;   // allowed
  double high = 0;  // allowed

  constexpr bool holds(double value) const { return value >= low && value <= high; }
};

namespace limits {
inline constexpr Range row_spacing_m{0.5, 20};
inline constexpr Range tree_spacing_m{0.1, 20};
inline constexpr Range fruits_per_tree{1, 5000};
inline constexpr Range insurance_factor{0.5, 5};  // NIAB: Gala may need half a bud a fruit
inline constexpr Range floral_fraction{0.01, 1};  // "0.68", never "68"
inline constexpr Range flowers_per_spur{1, 12};
inline constexpr Range seeds_per_fruit{1, 20};    // Northern Spy reaches 20
inline constexpr Range count_per_box{20, 400};
inline constexpr Range fruit_grams{20, 1000};
inline constexpr Range fruit_diameter_mm{30, 150};
inline constexpr Range box_kg{1, 100};
inline constexpr Range bin_kg{20, 1000};          // WAC 24-12-010: 500 … 950 lb, loose
inline constexpr Range pack_out_fraction{0.05, 1};
inline constexpr Range yield_kg_per_ha{10, 500000};
inline constexpr Range trunk_girth_mm{10, 5000};
inline constexpr Range trunk_diameter_mm{3, 1600};
inline constexpr Range fruits_per_cm2{0.1, 50};
inline constexpr Range tolerance_fraction{0.02, 0.5};
inline constexpr Range rows{1, 2000};
inline constexpr Range trees_per_row{1, 5000};
inline constexpr Range row_length{0, 5000};       // 0: a row that was grubbed
inline constexpr Range limbs_per_tree{1, 200};
inline constexpr Range limbs_numbered{2, 100};    // from the bottom up, to count some of them
inline constexpr Range limbs_numbered_from{1, 100};
inline constexpr Range stride{1, 1000};

// Counts. The largest standard trees carry some thousands of spurs; more is a slip of the thumb.
inline constexpr Range spurs_per_tree{0, 5000};
inline constexpr Range spurs_seen{1, 5000};        // by eye: nobody says nothing
inline constexpr Range fruits_counted{0, 5000};    // on one tree, at harvest
inline constexpr Range buds_per_branch{0, 500};
inline constexpr Range counting_seconds{0, 4 * 3600};
inline constexpr Range exercise_round{1, 20};
inline constexpr Range bbch{0, 69};                // to the end of flowering

// The weather and the years.
inline constexpr Range tenths_c{-600, 600};        // °C × 10: no orchard is colder or hotter
inline constexpr Range crop_year{1980, 2200};

// The farm's days and rates.
inline constexpr Range utc_offset_minutes{-14 * 60, 14 * 60};
inline constexpr Range hours_per_day{0.5, 24};
inline constexpr Range trees_worked{0, 100000};    // in a stretch of work
inline constexpr Range minutes_worked{0, 24 * 60};
inline constexpr Range money{0, 1e6};              // in the farm's own
inline constexpr Range fruitlets_per_hour{1, 1e5};
inline constexpr Range yield_amount{0.001, 1e7};   // its unit decides: target.h checks kg per ha
inline constexpr Range sureness{0.8, 0.99};
inline constexpr Range cost_ratio{0.1, 10};
inline constexpr Range plan_minutes{0, 8 * 60};    // of counting, a day; 0: not planned
}  // namespace limits

// "<value> is out of range: <low> to <high> is allowed".
std::string outside_text(double value, Range range);

// Nothing where the value may stand; else outside_text with id out_of_range (not_a_number for NaN
// and infinities).
std::optional<base::Error> refuse_outside(double value, Range range, std::string_view field);

}  // namespace nthtree::orchard
