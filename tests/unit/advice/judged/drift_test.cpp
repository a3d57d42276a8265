// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/drift.h"

#include <doctest/doctest.h>

#include <cmath>

#include "advice/internal/drift_model.h"
#include "base/random.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::ledger::Direction;
using nthtree::test::SeasonBuilder;

namespace {

void add(SeasonBuilder& farm, nthtree::base::Random& random, int counts, double mean, int row,
         double k = 25) {
  for (int i = 0; i < counts; ++i) {
    farm.tag("p1", row + i / 8, 3 + 11 * (i % 8),
             static_cast<int>(random.negative_binomial(mean, k)));
  }
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("nobody, and a single count, draw a chart without alarm") {
    SeasonBuilder farm;
    CHECK(drift_of(farm.season, "b1", "p1", farm.now_ms()).points.empty());
    farm.tag("p1", 1, 5, 300);
    const Drift drift = drift_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(drift.points.size() == 1);
    CHECK_FALSE(drift.level.alarm);
    CHECK(drift.run_length_in_control > 100);
  }

  TEST_CASE("a steady pruner seldom raises an alarm; one who leaves a third more does, and when") {
    int steady_alarms = 0, found = 0, placed = 0;
    const auto days = [](SeasonBuilder& farm, nthtree::base::Random& random, int row) {
      for (int day = 0; day < 5; ++day) {  // eight counts each
        add(farm, random, 8, 185, row + day);
        farm.next_day();
      }
    };
    for (std::uint64_t seed = 1; seed <= 30; ++seed) {
      nthtree::base::Random random(seed);
      SeasonBuilder steady, moved;
      days(steady, random, 1);
      add(steady, random, 12, 185, 6);
      steady_alarms += drift_of(steady.season, "b1", "p1", steady.now_ms()).level.alarm;
      days(moved, random, 1);
      add(moved, random, 12, 255, 10);
      const Drift drift = drift_of(moved.season, "b1", "p1", moved.now_ms());
      if (!drift.level.alarm) continue;
      ++found;
      CHECK(drift.level.alarm_ms >= drift.level.began_ms);
      placed += std::abs(drift.level.began_index - 40) <= 8 && drift.level.change > 0.15;
    }
    CHECK(steady_alarms <= 8);  // 52 counts of a run length near 400 in control
    CHECK(found >= 25);
    CHECK(placed >= 20);
  }

  TEST_CASE("a flag of +42 % stood on somebody whose counts since were back on the target") {
    SeasonBuilder farm;
    nthtree::base::Random random(3);
    add(farm, random, 30, 200, 1, 40);
    int row = 10;
    const auto drift = [&] { return drift_of(farm.season, "b1", "p1", farm.now_ms()); };
    for (int i = 0; i < 12 && !drift().level.alarm; ++i) add(farm, random, 1, 290, row++, 40);
    REQUIRE(drift().level.alarm);
    int counts = 0;
    for (; counts < 10 && drift().level.alarm; ++counts) add(farm, random, 1, 200, row++, 40);
    CHECK_FALSE(drift().level.alarm);
    CHECK(counts >= 2);
  }

  TEST_CASE("one and the same run of counts was a change or none by what the others left") {
    const auto points = [](int others, bool recounted) {
      nthtree::base::Random random(5);
      SeasonBuilder farm;
      add(farm, random, 14, 190, 30);
      for (int mate = 2; mate < 8; ++mate) {
        const std::vector<int> spurs{others, 2 * others, others / 2};
        farm.tags("p" + std::to_string(mate), spurs, 3 * mate);
      }
      if (recounted) farm.check("lead", 30, 3, 400);
      return drift_of(farm.season, "b1", "p1", farm.now_ms()).points;
    };
    const auto few = points(100, false);
    for (const auto& other : {points(300, false), points(100, true)}) {
      REQUIRE(few.size() == other.size());
      for (std::size_t i = 0; i < few.size(); ++i) {
        CHECK(few[i].residual == doctest::Approx(other[i].residual).epsilon(1e-9));
        CHECK(few[i].cusum_up == doctest::Approx(other[i].cusum_up).epsilon(1e-9));
      }
    }
  }

  TEST_CASE("a change that lasts keeps its flag for twenty counts") {
    int kept = 0, raised = 0;
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
      nthtree::base::Random random(seed);
      SeasonBuilder farm;
      add(farm, random, 40, 190, 1, 25);
      const auto drift = [&] { return drift_of(farm.season, "b1", "p1", farm.now_ms()); };
      int row = 10;
      for (int i = 0; i < 20 && !drift().level.alarm; ++i) add(farm, random, 1, 270, row++, 25);
      if (!drift().level.alarm) continue;
      ++raised;
      add(farm, random, 10, 270, row++, 25);
      kept += drift().level.alarm;
    }
    CHECK(raised >= 17);
    CHECK(kept >= raised - 3);
  }

  TEST_CASE("nine high counts at first were a change for ever, and a flag after ninety good ones") {
    LevelChart chart(0.25, 0.15, level_run_length_aimed, ChartScale::of_mean);
    for (int i = 0; i < 9; ++i) chart.add(3 * std::cbrt(1.13));
    for (int i = 0; i < 150; ++i) CHECK_FALSE(chart.add(3));
  }

  TEST_CASE("beside a flag stood what a week brings, also where a month had brought more of them") {
    const auto days_at = [](int counts) {
      SeasonBuilder farm;
      const std::vector<int> values(static_cast<std::size_t>(counts), 190);
      for (int p = 0; p < 8; ++p) farm.tags("p" + std::to_string(p), values, 3 * p + 1);
      return drift_of(farm.season, "b1", "p1", farm.now_ms()).false_every_days;
    };
    CHECK(days_at(20) == 0);  // none comes so early
    // Counts beyond the 25th, one flag in 350 of them; all in one day here.
    CHECK(days_at(35) == doctest::Approx(350.0 / (8 * 10)));
    CHECK(days_at(95) == doctest::Approx(350.0 / (8 * 70)));
  }

  TEST_CASE("a pruner who turns careless raises the spread alarm") {
    nthtree::base::Random random(8);
    SeasonBuilder farm;
    add(farm, random, 40, 185, 1, 60);
    add(farm, random, 14, 185, 10, 3);
    CHECK(drift_of(farm.season, "b1", "p1", farm.now_ms()).spread.alarm);
  }

  TEST_CASE("a counter whose ratio moves raises the counting alarm") {
    SeasonBuilder farm;
    for (int i = 0; i < 16; ++i) {
      farm.tag("p1", 1, 2 + 5 * i, i < 10 ? 185 : 140).check("lead", 1, 2 + 5 * i, 190);
    }
    CHECK(drift_of(farm.season, "b1", "p1", farm.now_ms()).counting.alarm);
  }

  TEST_CASE("whether advice worked is told from the counts since") {
    const auto after = [](std::vector<int> since) {
      SeasonBuilder farm;
      farm.tags("p1", {270, 280, 260, 290, 265, 275});
      farm.advice("p1", Direction::harder, 85);
      farm.tags("p1", since, 10);
      return drift_of(farm.season, "b1", "p1", farm.now_ms());
    };
    CHECK(after({}).advice == AdviceOutcome::too_early);
    CHECK(after({190}).advice == AdviceOutcome::too_early);
    CHECK(after({175, 170, 180, 176, 172, 178}).advice == AdviceOutcome::worked);
    CHECK(after({272, 268, 281, 266}).advice == AdviceOutcome::no_change);
    CHECK(after({110, 105, 118, 112}).advice == AdviceOutcome::overshot);
    CHECK(after({175, 170, 180, 176}).advice_change < -0.2);
    const Drift drift = after({175, 170});
    CHECK(drift.points[6].segment_begins);
    CHECK_FALSE(drift.level.alarm);
  }
}
