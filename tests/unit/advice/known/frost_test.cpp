// SPDX-License-Identifier: Apache-2.0
#include "advice/known/frost.h"

#include <doctest/doctest.h>

#include "advice/review/decisions.h"
#include "base/clock.h"
#include "unit/advice/season_builder.h"

using namespace nthtree;
using namespace nthtree::advice;
using test::SeasonBuilder;

namespace {

void look(SeasonBuilder& farm, int trees, int alive, int killed) {
  for (int i = 0; i < trees; ++i) {
    farm.add(ledger::FrostSample{"b1", {2 + i, 7}, 57, alive + i % 2, killed - i % 2}, "lead");
  }
}

const ledger::BlockSeason& block_of(const SeasonBuilder& farm) { return *farm.season.block("b1"); }

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("without a look after a frost nothing changes") {
    SeasonBuilder farm;
    const FrostAdvice frost = frost_advice(block_of(farm), farm.now_ms());
    CHECK_FALSE(frost.damage.known);
    CHECK(frost.damage.alive == orchard::Estimate::exactly(1));
    CHECK(block_target(block_of(farm))->target == target_before_frost(block_of(farm))->target);
  }

  // 113 fruits x 1.5 = 170 flowering spurs; ÷ 0.9 floral = 189. With half of them alive 170 ÷ 0.45
  // = 378, and the factor 1.5 ÷ 0.5 = 3 (arithmetic by hand).
  TEST_CASE("half of the buds alive doubles what is to be left and the insurance factor") {
    SeasonBuilder farm;
    for (int i = 0; i < 4; ++i) {
      farm.add(ledger::FrostSample{"b1", {2 + i, 7}, 57, 20, 20}, "lead");
    }
    const FrostAdvice frost = frost_advice(block_of(farm), farm.now_ms());
    REQUIRE(frost.damage.known);
    CHECK(frost.damage.trees == 4);
    CHECK(frost.damage.buds == 160);
    CHECK(frost.damage.alive.value == doctest::Approx(0.5));
    CHECK(frost.target_before == 189);
    CHECK(frost.target_now == 378);
    CHECK(frost.insurance_now == doctest::Approx(3));
    CHECK(frost.what == AfterFrost::count_unpruned);
  }

  TEST_CASE("its interval widens the target's") {
    SeasonBuilder farm;
    look(farm, 4, 10, 12);
    const auto target = block_target(block_of(farm));
    REQUIRE(target.ok());
    CHECK(target->log_sd > 0.02);
    CHECK(target->target.spurs_to_leave_per_tree.low < target->target.spurs_to_leave_per_tree.value);
    CHECK(target->alive.low < target->alive.value);
  }

  TEST_CASE("only the last look counts: what was killed before is killed then too") {
    SeasonBuilder farm;
    look(farm, 4, 20, 4);
    for (int i = 0; i < 2; ++i) farm.next_day();
    look(farm, 4, 8, 16);
    const FrostDamage damage = frost_damage(block_of(farm));
    CHECK(damage.buds == 96);
    CHECK(damage.alive.value == doctest::Approx(34.0 / 96));
  }

  TEST_CASE("where unpruned trees carry too few for a frost, pruning stops, and the day says so") {
    SeasonBuilder farm;
    look(farm, 5, 6, 18);
    for (int tree = 10; tree <= 50; tree += 10) {
      farm.add(ledger::BeforeCount{"b1", {30, tree}, 400 + tree}, "lead");
    }
    const FrostAdvice frost = frost_advice(block_of(farm), farm.now_ms());
    CHECK(frost.unpruned_trees == 5);
    CHECK(frost.target_now > frost.unpruned_spurs.value);
    CHECK(frost.what == AfterFrost::stop_pruning);
    farm.tag("p1", 1, 5, 190);
    const DayReview review =
        day_review(farm.season, farm.season.day_of(farm.now_ms()), farm.now_ms());
    const auto open = decisions_of(review);
    REQUIRE_FALSE(open.empty());
    CHECK(open.front().kind == DecisionKind::stop_pruning);
    CHECK(open.front().block == "b1");
  }

  TEST_CASE("a frost looked at on a day without a count is first among the day's decisions") {
    SeasonBuilder farm;
    for (int tree = 10; tree <= 50; tree += 10) {
      farm.add(ledger::BeforeCount{"b1", {30, tree}, 400 + tree}, "lead");
    }
    farm.tag("p1", 1, 5, 190);
    farm.next_day();
    look(farm, 5, 6, 18);
    const std::int64_t day = farm.season.day_of(farm.now_ms());
    const auto open = decisions_of(day_review(farm.season, day, farm.now_ms()));
    REQUIRE_FALSE(open.empty());
    CHECK(open.front().kind == DecisionKind::stop_pruning);
    CHECK(days_with_records(farm.season, farm.now_ms()).front() == day);
    CHECK(day_review(farm.season, day + 1, farm.now_ms()).blocks.empty());
  }

  TEST_CASE("no bud alive: a target beyond any tree, and no division by nothing") {
    SeasonBuilder farm;
    for (int i = 0; i < 4; ++i) {
      farm.add(ledger::FrostSample{"b1", {2 + i, 7}, 57, 0, 25}, "lead");
    }
    farm.add(ledger::BeforeCount{"b1", {30, 10}, 420}, "lead");
    const FrostAdvice frost = frost_advice(block_of(farm), farm.now_ms());
    CHECK(frost.target_now > 5000);
    CHECK(frost.what == AfterFrost::stop_pruning);
  }
}
