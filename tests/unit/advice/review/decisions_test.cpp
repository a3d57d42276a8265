// SPDX-License-Identifier: Apache-2.0
#include "advice/review/decisions.h"

#include <doctest/doctest.h>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

namespace {

// A day of one block with its target of 200.
DayReview a_day() {
  DayReview review;
  BlockDay block;
  block.block = "b1";
  block.acceptance.target = 200;
  block.acceptance.mean = {230, 220, 240};
  review.blocks.push_back(block);
  return review;
}

PrunerDay pruner(const std::string& person, VerdictKind kind, double spurs) {
  PrunerDay day;
  day.person = person;
  day.block = "b1";
  day.has_standing = true;
  day.verdict.kind = kind;
  day.verdict.over_target.value = spurs;
  return day;
}

}  // namespace

TEST_SUITE("advice: decisions") {
  TEST_CASE("who is furthest off stands first, not fourteenth") {
    DayReview review = a_day();
    for (int i = 0; i < 13; ++i) {
      review.pruners.push_back(pruner("p" + std::to_string(i), VerdictKind::harder, 40 + i));
    }
    review.pruners.push_back(pruner("far", VerdictKind::harder, 185));
    review.pruners.push_back(pruner("fine", VerdictKind::on_target, 0));
    review.pruners.push_back(pruner("open", VerdictKind::count_more, 60));
    const auto open = decisions_of(review);
    REQUIRE(open.size() == 14);
    CHECK(open.front().person == "far");
    CHECK(open.front().weight == doctest::Approx(0.925));
    CHECK(open.back().person == "p0");
  }

  TEST_CASE("too few is as bad as too many") {
    DayReview review = a_day();
    review.pruners = {pruner("a", VerdictKind::harder, 30), pruner("b", VerdictKind::lighter, -90)};
    CHECK(decisions_of(review).front().person == "b");
  }

  TEST_CASE("a lead who only re-counts has no standing and nothing to be told") {
    SeasonBuilder farm;
    farm.tags("p1", {280, 290, 275, 285}).check("lead", 1, 5, 300);
    const DayReview review =
        day_review(farm.season, farm.season.day_of(farm.now_ms()), farm.now_ms());
    for (const PrunerDay& day : review.pruners) CHECK(day.has_standing == (day.person == "p1"));
    for (const Decision& open : decisions_of(review)) CHECK(open.person != "lead");
  }

  TEST_CASE("a block off its target and one that will be late are decisions too") {
    DayReview review = a_day();
    BlockDay& block = review.blocks.front();
    block.acceptance.kind = AcceptanceKind::over;
    block.pace.has_green_tip = true;
    block.pace.finish_day = 100;
    block.pace.probability_in_time = 0.2;
    block.pace.people = 4;
    block.pace.people_needed = 6;
    auto open = decisions_of(review);
    REQUIRE(open.size() == 2);
    CHECK(open[0].kind == DecisionKind::block_late);  // half as many people again
    CHECK(open[1].kind == DecisionKind::block_off);   // 15 in 100 over
    block.pace.probability_in_time = 0.8;
    open = decisions_of(review);
    REQUIRE(open.size() == 1);
    CHECK(open[0].kind == DecisionKind::block_off);
  }

  TEST_CASE("what changed since the day began is told, what stayed is not") {
    SeasonBuilder farm;
    farm.tags("p1", {200, 190, 196}).tags("p2", {204, 190, 196, 188, 191, 200, 197, 203}, 10);
    CHECK(changes_of(day_review(farm.season, farm.season.day_of(farm.now_ms()), farm.now_ms()))
              .empty());  // the first day has nothing before it
    farm.next_day().tags("p1", {420, 430, 415, 440, 425}, 20).tags("p2", {196}, 30);
    farm.check("lead", 20, 5, 425).check("lead", 20, 15, 440);  // it is not the counting
    const DayReview review =
        day_review(farm.season, farm.season.day_of(farm.now_ms()), farm.now_ms());
    bool p1 = false;
    for (const Change& change : changes_of(review)) {
      p1 = p1 || change.person == "p1";
      CHECK(change.person != "p2");
    }
    CHECK(p1);
  }

  TEST_CASE("days with records are told newest first, and no day between them") {
    SeasonBuilder farm;
    farm.tags("p1", {200});
    const std::int64_t monday = farm.season.day_of(farm.now_ms());
    farm.next_day().next_day().tags("p1", {210}, 3);
    const auto days = days_with_records(farm.season, farm.now_ms());
    CHECK(days == std::vector<std::int64_t>{monday + 2, monday});
    CHECK(days_with_records({}, 0).empty());
  }
}
