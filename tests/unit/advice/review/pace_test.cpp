// SPDX-License-Identifier: Apache-2.0
#include "advice/review/pace.h"

#include <doctest/doctest.h>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("before any spell the pace is a wide guess and no date is told") {
    SeasonBuilder farm;
    const Pace pace = pace_of(farm.season, "b1", farm.now_ms());
    CHECK(pace.trees_left == 3600);
    CHECK(pace.finish_day == 0);
    CHECK(pace.people == 0);
    CHECK(pace.trees_per_hour.high > 1.5 * pace.trees_per_hour.low);
  }

  TEST_CASE("steady spells give the rate, hours left and a finish day") {
    SeasonBuilder farm;
    for (int day = 0; day < 5; ++day) {
      for (const char* person : {"p1", "p2"}) {
        farm.add(nthtree::ledger::WorkSpell{"b1", 80 + day, 240}, person);
        farm.add(nthtree::ledger::WorkSpell{"b1", 81, 240}, person);
      }
      if (day < 4) farm.next_day();
    }
    const Pace pace = pace_of(farm.season, "b1", farm.now_ms());
    REQUIRE(pace.pruners.size() == 2);
    CHECK(pace.pruners[0].trees_per_hour.value == doctest::Approx(20.4).epsilon(0.05));
    CHECK(pace.pruners[0].active_days == 5);
    CHECK(pace.people == 2);
    CHECK(pace.trees_done == 2 * (400 + 10 + 405));
    CHECK(pace.hours_done == 80);
    CHECK(pace.labour_cost == doctest::Approx(80 * 18));  // the farm's wage
    CHECK(pace.labour_left.value == doctest::Approx(18 * pace.hours_left.value));
    CHECK(pace.hours_left.value ==
          doctest::Approx(pace.trees_left / pace.trees_per_hour.value).epsilon(1e-9));
    CHECK(pace.finish_day_early <= pace.finish_day);
    CHECK(pace.finish_day <= pace.finish_day_late);
  }

  TEST_CASE("against green tip: sooner needs more people and is less likely") {
    double last_chance = 1.1, last_people = 0;
    for (const char* date : {"2026-03-20", "2026-02-20", "2026-02-06", "2026-02-03"}) {
      SeasonBuilder farm;
      auto settings = nthtree::test::block_settings("b1");
      settings.block.green_tip_date = date;
      farm.block(settings);
      farm.add(nthtree::ledger::WorkSpell{"b1", 160, 480}, "p1");
      farm.add(nthtree::ledger::WorkSpell{"b1", 160, 480}, "p2");
      const Pace pace = pace_of(farm.season, "b1", farm.now_ms());
      REQUIRE(pace.has_green_tip);
      CHECK(pace.probability_in_time <= last_chance);
      CHECK(pace.people_needed >= last_people);
      last_chance = pace.probability_in_time;
      last_people = pace.people_needed;
    }
    CHECK(last_chance < 0.05);
  }

  TEST_CASE("a finished block has nothing left, whatever the spells add up to") {
    SeasonBuilder farm;
    farm.add(nthtree::ledger::WorkSpell{"b1", 100, 300}, "p1");
    farm.add(nthtree::ledger::BlockProgress{"b1", nthtree::ledger::BlockStep::finished}, "lead");
    const Pace pace = pace_of(farm.season, "b1", farm.now_ms());
    CHECK(pace.trees_left == 0);
    CHECK(pace.hours_left.value == 0);
  }
}
