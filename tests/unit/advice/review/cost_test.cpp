// SPDX-License-Identifier: Apache-2.0
#include "advice/review/cost.h"

#include <doctest/doctest.h>

#include "advice/judged/acceptance.h"
#include "advice/internal/fruit_mass.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("excess is thinned by hand at the farm's rates") {
    SeasonBuilder farm;
    farm.tags("lead", {280, 290, 275, 285, 295, 278, 288});
    const Cost cost = cost_of(farm.season, "b1", farm.now_ms());
    REQUIRE(cost.known);
    CHECK(cost.has_rates);
    const double excess = cost.excess_spurs_per_tree.value;
    CHECK(excess > 60);
    CHECK(cost.short_spurs_per_tree.value == 0);
    // One fruitlet a flowering spur, 90 % floral, 3600 trees, 1000 an hour, 18 an hour.
    CHECK(cost.thinning_cost.value == doctest::Approx(excess * 0.9 * 3600 / 1000 * 18));
    CHECK(cost.crop_lost_value.value == 0);
    CHECK(cost.thinning_cost.low <= cost.thinning_cost.value);
  }

  TEST_CASE("a shortfall loses fruit at the farm's price") {
    SeasonBuilder farm;
    farm.tags("lead", {100, 110, 105, 95, 102, 108, 99});
    const Cost cost = cost_of(farm.season, "b1", farm.now_ms());
    const double missing = cost.short_spurs_per_tree.value;
    CHECK(missing > 60);
    // A spur short is 0.9 / 1.5 of a fruit of 0.18 kg at 0.8.
    CHECK(cost.crop_lost_value.value ==
          doctest::Approx(missing * 0.6 * 0.18 * 3600 * 0.8));
    CHECK(cost.cost_per_spur_over > 0);
    CHECK(cost.cost_ratio > 0);
  }

  TEST_CASE("the money is of the very mean that acceptance tells") {
    SeasonBuilder farm;
    farm.tags("p1", {240, 250, 235, 245, 255, 238, 248});
    farm.tags("p2", {140, 150, 135, 145, 155, 138, 148});
    const Cost cost = cost_of(farm.season, "b1", farm.now_ms());
    const Acceptance block = accept_block(farm.season, "b1", farm.now_ms());
    CHECK(cost.excess_spurs_per_tree.value - cost.short_spurs_per_tree.value ==
          doctest::Approx(block.mean.value - block.target));
    CHECK(cost.excess_spurs_per_tree.low <= cost.excess_spurs_per_tree.value);
    CHECK(cost.excess_spurs_per_tree.value <= cost.excess_spurs_per_tree.high);
  }

  TEST_CASE("without a count nothing is known") {
    SeasonBuilder farm;
    CHECK_FALSE(cost_of(farm.season, "b1", farm.now_ms()).known);
    CHECK_FALSE(cost_of(farm.season, "b9", farm.now_ms()).known);
  }

  TEST_CASE("a fruit weighs what the goal says") {
    nthtree::orchard::TargetInput input;
    CHECK(fruit_kg(input) == doctest::Approx(0.18));
    nthtree::orchard::YieldGoal goal;
    goal.fruit_size.grams = 210;
    input.yield = goal;
    CHECK(fruit_kg(input) == doctest::Approx(0.21));
    goal.fruit_size.grams.reset();
    goal.fruit_size.count_per_box = 100;
    input.yield = goal;
    CHECK(fruit_kg(input) == doctest::Approx(0.1905).epsilon(1e-3));  // 42 lb box
  }
}
