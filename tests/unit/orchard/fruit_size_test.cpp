// SPDX-License-Identifier: Apache-2.0
#include "orchard/fruit_size.h"

#include <doctest/doctest.h>

#include <cmath>

#include "orchard/units.h"

using namespace nthtree::orchard;

TEST_SUITE("orchard") {
  TEST_CASE("fruit weight from box count in 42 lb and 40 lb boxes") {
    // 42 lb = 19.05 kg box: HortScience 54(11):1947 (2019), abstract. 40 lb box: Washington State
    // Department of Agriculture, Weight-Count Converter Chart (2010-12). Grams recomputed from
    // 453.59237 g/lb, printed to 0.01 g.
    struct Row {
      double count, grams_42, grams_40;
    };
    const Row rows[] = {{48, 396.89, 377.99},  {56, 340.19, 323.99},  {64, 297.67, 283.50},
                        {72, 264.60, 252.00},  {80, 238.14, 226.80},  {88, 216.49, 206.18},
                        {100, 190.51, 181.44}, {113, 168.59, 160.56}, {125, 152.41, 145.15},
                        {138, 138.05, 131.48}, {150, 127.01, 120.96}, {163, 116.88, 111.31},
                        {175, 108.86, 103.68}, {198, 96.22, 91.63}};
    for (const Row& row : rows) {
      CAPTURE(row.count);
      CHECK(std::abs(grams_from_count(row.count, kg_from_lb(42)) - row.grams_42) <= 0.0051);
      CHECK(std::abs(grams_from_count(row.count, kg_from_lb(40)) - row.grams_40) <= 0.0051);
    }
  }

  TEST_CASE("count and grams are each other's reverse; 175 g is 103.7 or 108.9 count by the box") {
    // "7 fruit/cm2 gives about 175 g (100 count)" (Honeycrisp crop load guide, NC State copy): the
    // 100 count is loose, which is why the box is always asked for.
    CHECK(count_from_grams(175, kg_from_lb(40)) == doctest::Approx(103.7).epsilon(0.0005));
    CHECK(count_from_grams(175, kg_from_lb(42)) == doctest::Approx(108.9).epsilon(0.0005));
    CHECK(count_from_grams(grams_from_count(88, 19.05), 19.05) == doctest::Approx(88));
  }

  TEST_CASE("fruit weight from diameter passes through the Washington pack table") {
    // WSDA chart (2010-12): count and diameter in inches of a 40 lb box.
    const double rows[][2] = {{72, 3.5},    {88, 3.25},  {100, 3.125}, {113, 3},
                              {125, 2.875}, {138, 2.75}, {150, 2.625}, {163, 2.5}};
    for (const auto& row : rows) {
      const double count = row[0], inches = row[1];  // clang 14 captures no binding in CAPTURE
      CAPTURE(count);
      CHECK(count_from_grams(grams_from_diameter(mm_from_inches(inches)), kg_from_lb(40)) ==
            doctest::Approx(count).epsilon(1e-12));
    }
  }

  TEST_CASE("a thicker apple always weighs more, also past the ends of the pack table") {
    double before = 0;
    for (double mm = 30; mm <= 150; mm += 0.1) {
      const double grams = grams_from_diameter(mm);
      CHECK(grams > before);
      before = grams;
    }
  }

  TEST_CASE("trunk cross-section by diameter, as the UMass table prints it") {
    // UMass Extension, "Crop load guide for young apple trees" (2017): trunk diameter in inches,
    // cross-section in cm² (to 0.1, printed from truncated intermediates), fruits at 4 and 6 per
    // cm²; exact area recomputed.
    struct Row {
      double inches, cm2, at_4, at_6;
    };
    const Row rows[] = {{0.75, 2.850, 11, 17},    {1, 5.067, 20, 30},      {1.25, 7.917, 32, 48},
                        {1.5, 11.401, 46, 68},    {1.75, 15.518, 62, 93},  {2, 20.268, 81, 122},
                        {2.25, 25.652, 103, 154}, {2.5, 31.669, 127, 190}, {2.75, 38.320, 153, 230},
                        {3, 45.604, 182, 274}};
    for (const Row& row : rows) {
      CAPTURE(row.inches);
      const double cm2 = trunk_cm2_from_diameter(mm_from_inches(row.inches));
      CHECK(std::abs(cm2 - row.cm2) <= 0.00051);
      CHECK(whole_half_up(4 * cm2) == row.at_4);
      CHECK(whole_half_up(6 * cm2) == row.at_6);
    }
  }

  TEST_CASE("girth and diameter of the same trunk give the same cross-section") {
    // The same UMass table prints the girth beside the diameter: 3 in is 9.4 in around.
    CHECK(trunk_cm2_from_girth(mm_from_inches(9.4)) ==
          doctest::Approx(trunk_cm2_from_diameter(mm_from_inches(3))).epsilon(0.01));
    CHECK(trunk_cm2_from_girth(100 * 3.14159265358979) ==
          doctest::Approx(trunk_cm2_from_diameter(100)).epsilon(1e-12));
  }
}
