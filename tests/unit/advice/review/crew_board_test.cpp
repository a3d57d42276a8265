// SPDX-License-Identifier: Apache-2.0
#include "advice/review/crew_board.h"

#include <doctest/doctest.h>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("who leaves far too many stands first, who is steady last") {
    SeasonBuilder farm;
    const std::vector<int> steady = {189, 180, 195, 186, 192, 188, 184, 191};
    farm.tags("steady", steady, 1).tags("over", {400, 420, 380, 410, 395, 405}, 10);
    farm.tags("middling", {215, 222, 208, 219, 212}, 20).check("lead", 10, 5, 425);
    const auto rows = crew_board(farm.season, "b1", farm.now_ms());
    REQUIRE(rows.size() == 3);
    CHECK(rows[0].person == "over");
    CHECK(rows[0].why.id == "attention_urgent");
    CHECK(rows[0].verdict.kind == VerdictKind::harder);
    CHECK(rows[2].person == "steady");
    for (std::size_t i = 1; i < rows.size(); ++i) {
      CHECK(rows[i].attention <= rows[i - 1].attention);
    }
    for (const CrewRow& row : rows) CHECK(row.stride >= 1);
  }

  TEST_CASE("a person who has not counted for long is told as quiet") {
    SeasonBuilder farm;
    const std::vector<int> steady = {189, 180, 195, 186, 192, 188, 184, 191};
    farm.tags("p1", steady);
    farm.minutes(800);
    const auto rows = crew_board(farm.season, "b1", farm.now_ms());
    REQUIRE(rows.size() == 1);
    CHECK(rows[0].quiet);
  }

  TEST_CASE("a block without counts has an empty board") {
    SeasonBuilder farm;
    CHECK(crew_board(farm.season, "b1", farm.now_ms()).empty());
    CHECK(crew_board(farm.season, "b9", farm.now_ms()).empty());
  }
}
