// SPDX-License-Identifier: Apache-2.0
#include "advice/next/minutes_plan.h"

#include <doctest/doctest.h>

#include "base/random.h"
#include "unit/advice/season_builder.h"

using namespace nthtree;
using namespace nthtree::advice;
using test::SeasonBuilder;

namespace {

// Part counts of five limbs at so many seconds each.
SeasonBuilder counted_farm(int seconds, int trees = 12) {
  SeasonBuilder farm;
  base::Random random(4);
  for (int i = 0; i < trees; ++i) {
    std::vector<int> limbs;
    for (int k = 0; k < 5; ++k) limbs.push_back(static_cast<int>(random.negative_binomial(9, 5)));
    farm.add(ledger::PartCount{"b1", {1, 1 + 7 * i}, {{20, 2, 4}, limbs, seconds}}, "p1");
  }
  return farm;
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("no minutes wished, no plan") {
    CHECK(plan_minutes(SeasonBuilder().season, "b1", {}, 0).trees == 0);
    CHECK(plan_minutes(SeasonBuilder().season, "nowhere", {10, 0}, 0).trees == 0);
  }

  TEST_CASE("ten minutes go to limbs of several trees, and the sum fits") {
    const SeasonBuilder farm = counted_farm(125);
    const MinutesPlan plan = plan_minutes(farm.season, "b1", {10, 0}, farm.now_ms());
    CHECK(plan.trees >= 4);
    CHECK(plan.limbs >= 2);
    CHECK(plan.limbs_in_tree == 20);
    CHECK(plan.looks == 0);
    CHECK(plan.minutes <= 10);
    CHECK_FALSE(plan.over_budget);
    CHECK(plan.days >= 2);
    const MinutesPlan more = plan_minutes(farm.season, "b1", {25, 0}, farm.now_ms());
    CHECK(more.days < plan.days);
  }

  TEST_CASE("who counts slower plans fewer trees") {
    const SeasonBuilder quick = counted_farm(90), slow = counted_farm(280);
    const auto trees = [](const SeasonBuilder& farm) {
      const MinutesPlan plan = plan_minutes(farm.season, "b1", {10, 0}, farm.now_ms());
      return plan.trees * plan.limbs;
    };
    CHECK(trees(quick) > trees(slow));
  }

  TEST_CASE("too few minutes for two trees are said to be") {
    const SeasonBuilder farm = counted_farm(125);
    const MinutesPlan plan = plan_minutes(farm.season, "b1", {1, 0}, farm.now_ms());
    CHECK(plan.over_budget);
    CHECK(plan.trees == 2);
    CHECK(plan.limbs == 1);
  }

  TEST_CASE("a walk is planned for every pruner at work") {
    SeasonBuilder farm = counted_farm(125);
    farm.tag("p2", 5, 5, 180).tag("p3", 6, 6, 190);
    const MinutesPlan plan = plan_minutes(farm.season, "b1", {10, 30}, farm.now_ms());
    CHECK(plan.walk_looks == 120);
  }
}
