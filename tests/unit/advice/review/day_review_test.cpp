// SPDX-License-Identifier: Apache-2.0
#include "advice/review/day_review.h"

#include <doctest/doctest.h>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::ledger::Direction;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("a day's review holds what was done that day and how things stood at its end") {
    SeasonBuilder farm;
    farm.tags("p1", {280, 290, 275, 285}).tags("p2", {188, 192}, 10);
    farm.check("lead", 1, 5, 300).advice("p1", Direction::harder, 90);
    farm.add(nthtree::ledger::WorkSpell{"b1", 120, 420}, "p1");
    const std::int64_t monday = farm.season.day_of(farm.now_ms());
    const std::int64_t monday_evening = farm.now_ms();
    farm.next_day().next_day().next_day().tags("p1", {190, 185, 188}, 20);
    const DayReview first = day_review(farm.season, monday, farm.now_ms());
    CHECK(first.counts == 6);
    CHECK(first.checks == 1);
    CHECK(first.advice_given == 1);
    CHECK(first.trees == 120);
    CHECK(first.hours == doctest::Approx(7));
    REQUIRE(first.blocks.size() == 1);
    CHECK(first.blocks[0].counts == 6);
    CHECK(first.pruners.size() == 3);  // p1, p2 and the lead who re-counted
    // The same evening, seen at the time, reads the same.
    const DayReview then = day_review(farm.season, monday, monday_evening);
    CHECK(then.counts == first.counts);
    const DayReview today =
        day_review(farm.season, farm.season.day_of(farm.now_ms()), farm.now_ms());
    CHECK(today.counts == 3);
    REQUIRE(today.pruners.size() == 1);
    CHECK(today.pruners[0].outcome == AdviceOutcome::worked);
  }

  TEST_CASE("a day without records is empty") {
    SeasonBuilder farm;
    farm.tags("p1", {200});
    const DayReview review = day_review(farm.season, 1, farm.now_ms());
    CHECK(review.blocks.empty());
    CHECK(review.pruners.empty());
    CHECK(review.counts == 0);
  }
}
