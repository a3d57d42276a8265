// SPDX-License-Identifier: Apache-2.0
#include "advice/advisor.h"

#include <doctest/doctest.h>

#include "base/random.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::ledger::Direction;
using nthtree::test::SeasonBuilder;

namespace {

void same(const Standing& a, const Standing& b) {
  CHECK(a.counts == b.counts);
  CHECK(a.checks == b.checks);
  CHECK(a.log_ratio.mean == b.log_ratio.mean);
  CHECK(a.log_ratio.sd == b.log_ratio.sd);
  CHECK(a.own.mean == b.own.mean);
  CHECK(a.tree_log_sd == b.tree_log_sd);
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("an advisor that follows a season says what a fresh look says, record by record") {
    SeasonBuilder farm;
    farm.block(nthtree::test::block_settings("b2"));
    Advisor advisor(farm.season);
    nthtree::base::Random random(9);
    for (int step = 0; step < 120; ++step) {
      const std::string person = "p" + std::to_string(random.below(4));
      const std::string block = random.chance(0.7) ? "b1" : "b2";
      const int row = 1 + static_cast<int>(random.below(30));
      const int tree = 1 + static_cast<int>(random.below(90));
      const int spurs = static_cast<int>(random.negative_binomial(200, 15));
      farm.tag(person, row, tree, spurs, block);
      if (random.chance(0.2)) farm.check("lead", row, tree, spurs + 15, block);
      if (random.chance(0.05)) farm.advice(person, Direction::harder, 25, block);
      if (random.chance(0.03)) farm.next_day();
      if (step == 60) farm.block(nthtree::test::block_settings("b3"));
      const auto now = farm.now_ms();
      same(advisor.standing_of(block, person, now), standing_of(farm.season, block, person, now));
      CHECK(advisor.verdict_of(block, person, now) ==
            verdict_of(farm.season, block, person, now));
    }
    const auto now = farm.now_ms();
    const auto board = advisor.crew_board("b1", now), fresh = crew_board(farm.season, "b1", now);
    REQUIRE(board.size() == fresh.size());
    for (std::size_t i = 0; i < board.size(); ++i) CHECK(board[i].person == fresh[i].person);
    CHECK(advisor.next_tree("b1", "p1", {1, 1}, now).tree ==
          next_tree(farm.season, "b1", "p1", {1, 1}, now).tree);
    CHECK(advisor.this_tree("b1", {1, 1}, 250, now).spurs ==
          this_tree(farm.season, "b1", 250).spurs);
  }

  TEST_CASE("a long season is followed to the last bit as a fresh look finds it") {
    SeasonBuilder farm;
    farm.block(nthtree::test::block_settings("b2"));
    Advisor advisor(farm.season);
    nthtree::base::Random random(10);
    for (int step = 0; step < 1200; ++step) {
      const std::string person = "p" + std::to_string(random.below(3));
      const std::string block = random.chance(0.6) ? "b1" : "b2";
      const int spurs = static_cast<int>(random.negative_binomial(200, 15));
      farm.tag(person, 1 + static_cast<int>(random.below(30)), 1 + step % 90, spurs, block);
      if (random.chance(0.01)) farm.check("lead", 1, 1 + step % 90, spurs, block);
      if (random.chance(0.01)) farm.advice(person, Direction::lighter, 15, block);
      if (random.chance(0.02)) farm.next_day();
      const auto now = farm.now_ms();
      const auto& followed = advisor.standing_of(block, person, now);
      // Followed at every count, looked at afresh at some: that costs the whole season.
      if (step % 40 != 39) continue;
      same(followed, standing_of(farm.season, block, person, now));
      CHECK(advisor.verdict_of(block, person, now) ==
            verdict_of(farm.season, block, person, now));
    }
    CHECK(advisor.standing_of("b1", "p1", farm.now_ms()).counts_before > 64);
  }

  TEST_CASE("a late record in the middle and a withdrawal are noticed") {
    using namespace nthtree::test;
    nthtree::ledger::Season season;
    season.apply(record_of(phone_a, 1, 0, block_settings("b1"), "boss"));
    const auto first = record_of(phone_a, 2, 10, tag(1, 5, 300));
    season.apply(first);
    season.apply(record_of(phone_a, 3, 30, tag(1, 15, 310)));
    Advisor advisor(season);
    const std::int64_t now = monday_ms + 3600000;
    same(advisor.standing_of("b1", "p1", now), standing_of(season, "b1", "p1", now));
    season.apply(record_of(phone_b, 1, 20, tag(1, 10, 190)));  // from another phone, in between
    same(advisor.standing_of("b1", "p1", now), standing_of(season, "b1", "p1", now));
    season.apply(record_of(phone_a, 4, 40, nthtree::ledger::Withdrawal{"slip"}, "p1", first.id));
    same(advisor.standing_of("b1", "p1", now), standing_of(season, "b1", "p1", now));
    CHECK(advisor.standing_of("b1", "p1", now).counts == 2);
  }

  TEST_CASE("an unknown block is answered as the plain functions answer it") {
    SeasonBuilder farm;
    Advisor advisor(farm.season);
    CHECK(advisor.context("b9", farm.now_ms()) == nullptr);
    CHECK(advisor.verdict_of("b9", "p1", farm.now_ms()).reason.id == "no_target");
    CHECK(advisor.crew_board("b9", farm.now_ms()).empty());
    CHECK(advisor.this_tree("b9", {1, 1}, 100, farm.now_ms()).action == TreeAction::no_target);
  }
}
