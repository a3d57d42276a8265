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
    nthtree::ledger::FarmSettings careful;
    careful.name = "Two Creeks";
    careful.sureness = 0.9;
    careful.too_many_cost_ratio = 2;
    farm.add(careful, "boss");
    nthtree::ledger::BlockSettings block = nthtree::test::block_settings("b1");
    block.block.tolerance_fraction = 0.2;
    block.block.limbs_per_tree = 9;
    block.block.stride = 37;
    block.block.stride_floor = 11;
    farm.block(block);
    const Settings settings = settings_for(farm.season, *farm.season.block("b1"));
    CHECK(settings.tolerance_fraction == 0.2);
    CHECK(settings.sureness == 0.9);
    CHECK(settings.too_many_cost_ratio == 2);
    CHECK(settings.limbs_per_tree == 9);
    CHECK(settings.stride == 37);
    CHECK(settings.stride_floor == 11);
  }

  TEST_CASE("a block without settings is judged with the defaults") {
    SeasonBuilder farm;
    farm.tag("p1", 1, 1, 100, "b7");
    CHECK(settings_for(farm.season, *farm.season.block("b7")) == Settings{});
  }
}
