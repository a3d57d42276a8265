// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/context.h"

#include <doctest/doctest.h>

#include "advice/advisor.h"
#include "advice/internal/current.h"
#include "advice/judged/standing.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("a count stamped ahead of this device's clock counts") {
    SeasonBuilder farm;
    farm.tags("p1", {200, 210});
    const std::int64_t clock_behind = farm.now_ms() - 3 * 3600 * 1000;
    CHECK(standing_of(farm.season, "b1", "p1", clock_behind).counts == 2);
  }

  TEST_CASE("a day long past is shown as it was then") {
    SeasonBuilder farm;
    farm.tags("p1", {200, 210});
    const std::int64_t evening = farm.now_ms() + 3600 * 1000;
    farm.next_day().next_day().next_day().tags("p1", {300, 310, 320}, 9);
    CHECK(standing_of(farm.season, "b1", "p1", evening).counts == 2);
    CHECK(standing_of(farm.season, "b1", "p1", farm.now_ms()).counts == 5);
  }

  TEST_CASE("45 days after a count it was silently gone, and a past season could not be shown") {
    SeasonBuilder farm;
    farm.tags("p1", {300, 310, 320, 305});
    const Standing then = standing_of(farm.season, "b1", "p1", farm.now_ms());
    for (int days : {44, 46, 400, 3000}) {
      const std::int64_t later = farm.now_ms() + days * 24LL * 3600 * 1000;
      const Standing now = standing_of(farm.season, "b1", "p1", later);
      CHECK(now.counts == 4);
      CHECK(now.log_ratio.mean == then.log_ratio.mean);
      CHECK(Advisor(farm.season).standing_of("b1", "p1", later).own.sd == then.own.sd);
    }
  }

  TEST_CASE("counts two months old still weigh beside today's") {
    SeasonBuilder farm;
    farm.tags("p1", {300, 310, 320, 305});
    farm.minutes(60 * 24 * 60).tags("p1", {190, 200}, 9);
    const Standing now = standing_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(now.counts == 6);
    CHECK(now.spurs_per_tree.value > 215);
  }

  TEST_CASE("counts of last winter's pruning say nothing of this one's") {
    SeasonBuilder farm;
    farm.tags("p1", {300, 310, 320, 305}).tags("p2", {180, 185, 190}, 9);
    const std::int64_t last_winter = farm.now_ms();
    farm.minutes(300 * 24 * 60).tags("p1", {190}, 20);
    CHECK(standing_of(farm.season, "b1", "p1", farm.now_ms()).counts == 1);
    CHECK(standing_of(farm.season, "b1", "p2", farm.now_ms()).counts == 0);
    CHECK(Advisor(farm.season).standing_of("b1", "p1", farm.now_ms()).counts == 1);
    CHECK(standing_of(farm.season, "b1", "p1", last_winter).counts == 4);
  }

  TEST_CASE("a record from the future took the weight of everybody else's") {
    for (int days : {10, 45, 200}) {
      SeasonBuilder farm;
      farm.tags("p1", {300, 310, 320, 305});
      const Standing before = standing_of(farm.season, "b1", "p1", farm.now_ms());
      Advisor advisor(farm.season);
      advisor.standing_of("b1", "p1", farm.now_ms());
      farm.season.apply(nthtree::test::record_of(nthtree::test::phone_b, 1, days * 24 * 60,
                                                 nthtree::test::tag(30, 5, 90), "p2"));
      for (const Standing& after : {standing_of(farm.season, "b1", "p1", farm.now_ms()),
                                    advisor.standing_of("b1", "p1", farm.now_ms())}) {
        CHECK(after.counts == 4);
        CHECK(after.log_ratio.mean == before.log_ratio.mean);
        CHECK(after.log_ratio.sd == before.log_ratio.sd);
      }
      // Counts go on coming before it, one by one.
      farm.tag("p1", 7, 5, 300);
      CHECK(advisor.standing_of("b1", "p1", farm.now_ms()).counts == 5);
      CHECK(advisor.standing_of("b1", "p2", farm.now_ms()).counts == 0);
    }
  }
}
