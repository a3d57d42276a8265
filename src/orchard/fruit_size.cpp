// SPDX-License-Identifier: Apache-2.0
#include "orchard/fruit_size.h"

#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "orchard/units.h"

namespace nthtree::orchard {
namespace {

struct PackRow {
  double count;
  double inches;
};
// WSDA chart (see the header), smallest fruit first; a 40 lb box.
constexpr std::array<PackRow, 8> pack_rows{{{163, 2.5}, {150, 2.625}, {138, 2.75}, {125, 2.875},
                                            {113, 3}, {100, 3.125}, {88, 3.25}, {72, 3.5}}};
constexpr double pack_box_lb = 40;

double row_grams(std::size_t row) {
  return grams_from_count(pack_rows[row].count, kg_from_lb(pack_box_lb));
}

}  // namespace

double grams_from_count(double count, double box_kg) { return box_kg * 1000 / count; }

double count_from_grams(double grams, double box_kg) { return box_kg * 1000 / grams; }

double grams_from_diameter(double diameter_mm) {
  const double inches = inches_from_mm(diameter_mm);
  const std::size_t last = pack_rows.size() - 1;
  if (inches <= pack_rows[0].inches) {
    return row_grams(0) * std::pow(inches / pack_rows[0].inches, 3);
  }
  if (inches >= pack_rows[last].inches) {
    return row_grams(last) * std::pow(inches / pack_rows[last].inches, 3);
  }
  std::size_t upper = 1;
  while (pack_rows[upper].inches < inches) ++upper;
  const PackRow& below = pack_rows[upper - 1];
  const double share = std::log(inches / below.inches) /
                       std::log(pack_rows[upper].inches / below.inches);
  return row_grams(upper - 1) * std::pow(row_grams(upper) / row_grams(upper - 1), share);
}

double trunk_cm2_from_girth(double girth_mm) {
  const double girth_cm = girth_mm / 10;
  return girth_cm * girth_cm / (4 * std::numbers::pi);
}

double trunk_cm2_from_diameter(double diameter_mm) {
  const double diameter_cm = diameter_mm / 10;
  return std::numbers::pi / 4 * diameter_cm * diameter_cm;
}

}  // namespace nthtree::orchard
