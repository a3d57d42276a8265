// SPDX-License-Identifier: Apache-2.0
#include "advice/review/consequences.h"

#include <doctest/doctest.h>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("consequences of a target, worked by pencil") {
    SeasonBuilder farm;
    farm.add(nthtree::ledger::BeforeCount{"b1", {1, 5}, 600}, "lead");
    farm.add(nthtree::ledger::BeforeCount{"b1", {9, 5}, 600}, "lead");
    const Consequences what = consequences(farm.season, "b1");
    REQUIRE(what.known);
    CHECK(what.seeds_per_tree_at_bloom == doctest::Approx(170 * 5 * 10));
    CHECK(what.on_year.spurs_to_leave == 189);   // 170 ÷ 0.9 = 188.9
    CHECK(what.off_year.spurs_to_leave == 567);  // 170 ÷ 0.3 = 566.7
    CHECK(what.on_year.spurs_to_take == 411);
    CHECK(what.spurs_to_take.value == 411);
    CHECK(what.over_fraction_unpruned == doctest::Approx(411.0 / 189));
    CHECK(what.limbs_worth_to_take == 8);  // 411 ÷ 50 spurs a limb = 8.2
    CHECK(what.seeds_per_tree_unpruned == doctest::Approx(540 * 50));
    // 600 × 0.9 = 540 fruitlets at one a spur, less 113 fruits wanted.
    CHECK(what.fruitlets_to_thin_per_tree == doctest::Approx(427));
    CHECK(what.thinning_hours_block == doctest::Approx(427.0 * 3600 / 1000));
    CHECK(what.thinning_cost_block == doctest::Approx(427.0 * 3600 / 1000 * 18));
  }

  TEST_CASE("without a block or before-counts nothing is invented") {
    SeasonBuilder farm;
    CHECK_FALSE(consequences(farm.season, "b9").known);
    const Consequences what = consequences(farm.season, "b1");
    CHECK(what.known);
    CHECK(what.before_trees == 0);
    CHECK(what.spurs_to_take.value == 0);
    CHECK(what.thinning_hours_block == 0);
  }
}
