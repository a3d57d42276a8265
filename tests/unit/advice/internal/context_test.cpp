// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/context.h"

#include <doctest/doctest.h>

#include "advice/internal/live.h"
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

  TEST_CASE("counts of last year's pruning say nothing of today") {
    SeasonBuilder farm;
    farm.tags("p1", {300, 310, 320, 305});
    const std::int64_t later = farm.now_ms() + 2 * evidence_age_ms_max;
    CHECK(standing_of(farm.season, "b1", "p1", later).counts == 0);
  }
}
