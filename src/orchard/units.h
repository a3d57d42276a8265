// SPDX-License-Identifier: Apache-2.0
//
// Units a grower speaks in, turned into metres, kilograms and hectares and back.
//
// Everything inside the engine is metric; US units exist only where people type and read. The
// constants are exact by definition: the international foot and pound of the 1959 agreement
// (US Federal Register 24 FR 5348; NIST Special Publication 811, appendix B.8). The acre here is
// 43,560 square international feet, as farm maps use it; the US survey acre is 4 parts in a
// million larger and is not modelled.
//
//   double row_m = metres_from_feet(11);
//   double per_acre = per_acre_from_per_ha(2857.14);
#pragma once

namespace nthtree::orchard {

inline constexpr double metres_per_foot = 0.3048;         // exact
inline constexpr double mm_per_inch = 25.4;               // exact
inline constexpr double kg_per_lb = 0.45359237;           // exact
// A bushel of apples as crop reports count it: 42 lb (USDA NASS, Noncitrus Fruits and Nuts: from
// memory; by law and custom a bushel is also sold at 48 lb, which is not modelled).
inline constexpr double kg_per_bushel = 42 * kg_per_lb;
inline constexpr double square_feet_per_acre = 43560;     // exact
inline constexpr double square_metres_per_ha = 10000;     // exact
inline constexpr double square_metres_per_acre =          // 4046.8564224, exact
    square_feet_per_acre * metres_per_foot * metres_per_foot;
inline constexpr double acres_per_ha = square_metres_per_ha / square_metres_per_acre;

constexpr double metres_from_feet(double feet) { return feet * metres_per_foot; }
constexpr double feet_from_metres(double metres) { return metres / metres_per_foot; }
constexpr double mm_from_inches(double inches) { return inches * mm_per_inch; }
constexpr double inches_from_mm(double mm) { return mm / mm_per_inch; }
constexpr double kg_from_lb(double lb) { return lb * kg_per_lb; }
constexpr double lb_from_kg(double kg) { return kg / kg_per_lb; }
constexpr double per_acre_from_per_ha(double per_ha) { return per_ha / acres_per_ha; }
constexpr double per_ha_from_per_acre(double per_acre) { return per_acre * acres_per_ha; }

// Rounds to a whole number, halves upward, as it is done on paper: 169.5 is 170. A result that
// misses the half only by the binary form of its factors (25 × 2.3 = 57.49999999999999) counts
// as the half.
double whole_half_up(double value);

}  // namespace nthtree::orchard
