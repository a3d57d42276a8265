// SPDX-License-Identifier: Apache-2.0
#include "orchard/units.h"

#include <doctest/doctest.h>

#include "base/random.h"

using namespace nthtree::orchard;

TEST_SUITE("orchard") {
  TEST_CASE("unit constants are the defined ones") {
    // NIST Special Publication 811, appendix B.8: foot, inch and pound are exact.
    CHECK(metres_per_foot == 0.3048);
    CHECK(mm_per_inch == 25.4);
    CHECK(kg_per_lb == 0.45359237);
    // 1 acre = 4,046.8564224 m² (international foot, exact); 1 ha = 2.4710538147 acre.
    CHECK(square_metres_per_acre == doctest::Approx(4046.8564224).epsilon(1e-14));
    CHECK(acres_per_ha == doctest::Approx(2.4710538147).epsilon(1e-10));
    // An acre is 43,560 sq ft, a hectare 10,000 m²: common practice, no source.
    CHECK(square_feet_per_acre == 43560);
    CHECK(square_metres_per_ha == 10000);
  }

  TEST_CASE("every unit goes there and back") {
    nthtree::base::Random random(11);
    for (int i = 0; i < 1000; ++i) {
      const double x = random.uniform() * 1000;
      CHECK(feet_from_metres(metres_from_feet(x)) == doctest::Approx(x).epsilon(1e-14));
      CHECK(inches_from_mm(mm_from_inches(x)) == doctest::Approx(x).epsilon(1e-14));
      CHECK(lb_from_kg(kg_from_lb(x)) == doctest::Approx(x).epsilon(1e-14));
      CHECK(per_acre_from_per_ha(per_ha_from_per_acre(x)) == doctest::Approx(x).epsilon(1e-14));
    }
  }

  TEST_CASE("halves round up, also those that binary arithmetic just misses") {
    CHECK(whole_half_up(169.5) == 170);
    CHECK(whole_half_up(169.49) == 169);
    CHECK(whole_half_up(131.4) == 131);
    CHECK(whole_half_up(0) == 0);
    CHECK(25 * 2.3 < 57.5);  // 57.49999999999999
    CHECK(whole_half_up(25 * 2.3) == 58);
    CHECK(whole_half_up(4999.4999) == 4999);
  }
}
