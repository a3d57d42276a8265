// SPDX-License-Identifier: Apache-2.0
#include "advice/worksheet/block_sheet.h"

#include <doctest/doctest.h>

#include <cmath>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice: worksheet") {
  TEST_CASE("the block's mean comes out of each pruner's part") {
    SeasonBuilder farm;
    farm.tags("p1", {200, 250, 220, 270}).tags("p2", {180, 190, 210, 170, 200}, 4);
    farm.add(nthtree::ledger::WorkSpell{"b1", 300, 480}, "p1");
    const BlockSheet sheet = block_sheet(farm.season, "b1", farm.now_ms(), 3);
    REQUIRE(sheet.pruners.size() == 2);
    CHECK(sheet.pruners[0].noted);
    CHECK(sheet.pruners[0].trees == 300);
    CHECK_FALSE(sheet.pruners[1].noted);  // counts × stride
    double trees = 0, spurs = 0, squares = 0;
    for (const PrunerPart& one : sheet.pruners) {
      trees += one.trees;
      spurs += one.trees * one.level;
      squares += std::pow(one.trees * one.level, 2) * one.variance;
    }
    CHECK(sheet.acceptance.mean.value ==
          doctest::Approx(sheet.acceptance.target * spurs / trees));
    CHECK(sheet.mean_log_sd ==
          doctest::Approx(std::sqrt(squares / (spurs * spurs) +
                                    sheet.shared_bias_sd * sheet.shared_bias_sd)));
    CHECK(sheet.recounts.size() <= 3);
  }

  TEST_CASE("re-counts from before the last advice were left out of the block's number") {
    SeasonBuilder farm;
    farm.tags("p1", {260, 250, 270, 280}).check("lead", 1, 5, 270).check("lead", 1, 15, 262);
    farm.advice("p1", nthtree::ledger::Direction::harder, 50).tags("p1", {200, 190}, 3);
    farm.check("lead", 3, 5, 204);
    const Acceptance done = accept_block(farm.season, "b1", farm.now_ms());
    CHECK(done.counts == 6);
    CHECK(done.checks == 3);
    const Standing standing = standing_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(standing.checks == 1);
    CHECK(standing.checks_before == 2);
  }
}
