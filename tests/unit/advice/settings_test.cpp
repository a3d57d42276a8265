// SPDX-License-Identifier: Apache-2.0
#include "advice/settings.h"

#include <doctest/doctest.h>

#include <cmath>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("settings come from the farm and the block") {
    SeasonBuilder farm;
    const Settings settings = settings_for(farm.season, *farm.season.block("b1"));
    CHECK(settings.tolerance_fraction == 0.15);
    CHECK(settings.sureness == 0.95);
    CHECK(settings.limbs_per_tree == 12);
    CHECK(settings.stride == 50);
  }

  TEST_CASE("a block without settings is judged with the defaults") {
    SeasonBuilder farm;
    farm.tag("p1", 1, 1, 100, "b7");
    CHECK(settings_for(farm.season, *farm.season.block("b7")) == Settings{});
  }
}
