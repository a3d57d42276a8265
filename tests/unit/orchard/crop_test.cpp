// SPDX-License-Identifier: Apache-2.0
#include "orchard/crop.h"

#include <doctest/doctest.h>

using namespace nthtree::orchard;

TEST_SUITE("orchard") {
  TEST_CASE("seeds at bloom") {
    // Common practice, no source.
    CHECK(seeds_at_bloom(131, 5, 10) == 6550);
    CHECK(seeds_at_bloom(219, 5, 10) == 10950);
    // 5-6 flowers a floral bud: NIAB, guidance on dissecting buds. Arithmetic only.
    CHECK(seeds_at_bloom(180, 5.5, 10) == 9900);
    // Twelve flowering spurs, 63 flowers, 5.25 each: L. H. Bailey, The Apple-Tree (1922).
    CHECK(seeds_at_bloom(12, 5.25, 1) == 63);
  }

  TEST_CASE("on-year and off-year of the same block") {
    // Common practice, no source: 131 ÷ 0.9 = 146, 131 ÷ 0.3 = 437.
    const YearPair pair = on_and_off_year(131);
    CHECK(pair.on_spurs_to_leave == 146);
    CHECK(pair.off_spurs_to_leave == 437);
    // Honeycrisp blocks of 85 % and 40 % floral buds (Cornell Cooperative Extension ENYCHP 2025)
    // at 180 flower buds a tree: recomputed.
    const YearPair cornell = on_and_off_year(180, 0.85, 0.40);
    CHECK(cornell.on_spurs_to_leave == 212);
    CHECK(cornell.off_spurs_to_leave == 450);
  }

  TEST_CASE("over and under target") {
    CHECK(share_over_target(300, 200) == doctest::Approx(0.5));
    CHECK(share_over_target(200, 200) == 0);
    CHECK(share_over_target(100, 200) == doctest::Approx(-0.5));
  }

  TEST_CASE("limbs that carry a number of spurs") {
    CHECK(limbs_that_carry(100, 600, 24) == 4);
    CHECK(limbs_that_carry(0, 600, 24) == 0);
    CHECK(limbs_that_carry(700, 600, 24) == 24);  // no more than the tree has
    CHECK(limbs_that_carry(-5, 600, 24) == 0);
    CHECK(limbs_that_carry(5, 0, 24) == 0);
  }

  TEST_CASE("fruitlets to thin and the hours they cost") {
    CHECK(fruitlets_to_thin(180, 2, 100) == 260);
    CHECK(fruitlets_to_thin(40, 2, 100) == 0);
    CHECK(thinning_hours(260, 1000, 1000) == 260);
  }
}
