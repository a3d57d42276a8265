// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/standing.h"

#include <doctest/doctest.h>

#include <cmath>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("a newcomer's standing is the crew's, and says that it rests on no count") {
    SeasonBuilder farm;
    farm.tags("p1", {250, 260, 240}).tags("p2", {245, 255, 250}, 5);
    const Standing newcomer = standing_of(farm.season, "b1", "p9", farm.now_ms());
    CHECK(newcomer.counts == 0);
    CHECK(newcomer.log_ratio.mean > 0.1);
    CHECK(newcomer.log_ratio.sd > 0.15);
    CHECK(newcomer.probability_over > newcomer.probability_under);
  }

  TEST_CASE("more counts narrow the interval and hold the mean") {
    double last_width = 1e9;
    for (int n : {1, 2, 4, 8, 16}) {
      SeasonBuilder farm;
      std::vector<int> spurs;
      for (int i = 0; i < n; ++i) spurs.push_back(i % 2 ? 220 : 200);
      farm.tags("p1", spurs);
      const Standing s = standing_of(farm.season, "b1", "p1", farm.now_ms());
      CHECK(s.spurs_per_tree.low < s.spurs_per_tree.value);
      CHECK(s.spurs_per_tree.value < s.spurs_per_tree.high);
      const double width = s.spurs_per_tree.high - s.spurs_per_tree.low;
      CHECK(width < last_width);
      last_width = width;
      CHECK(s.counts == n);
    }
  }

  TEST_CASE("check counts that find more raise the standing of a person who misses spurs") {
    SeasonBuilder plain, checked;
    plain.tags("p1", {190, 190, 190, 190});
    checked.tags("p1", {190, 190, 190, 190});
    for (int tree : {5, 15, 25, 35}) checked.check("lead", 1, tree, 235);
    const Standing a = standing_of(plain.season, "b1", "p1", plain.now_ms());
    const Standing b = standing_of(checked.season, "b1", "p1", checked.now_ms());
    CHECK(b.spurs_per_tree.value > a.spurs_per_tree.value + 10);
    CHECK(b.shared_log_sd < a.shared_log_sd);
    CHECK(b.checks == 4);
  }

  TEST_CASE("advice opens a segment in which older counts fade and do not vanish") {
    SeasonBuilder farm;
    farm.tags("p1", {280, 290, 270, 300, 285, 275});
    const Standing before = standing_of(farm.season, "b1", "p1", farm.now_ms());
    farm.advice("p1", nthtree::ledger::Direction::harder, 95);
    const Standing after = standing_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(after.after_advice);
    CHECK(after.counts == 0);
    CHECK(after.counts_before == 6);
    CHECK(after.spurs_per_tree.value < before.spurs_per_tree.value);
    CHECK(after.own.sd > before.own.sd);
    CHECK(after.own.sd < 1);
  }

  TEST_CASE("a pruner is drawn towards the crew, the more the fewer the counts") {
    SeasonBuilder farm;
    for (int p = 1; p <= 6; ++p) farm.tags("c" + std::to_string(p), {185, 195, 190, 186}, 2 * p);
    farm.tag("new", 20, 5, 260);
    const BlockStandings all = block_standings(farm.season, "b1", farm.now_ms());
    const Standing* newcomer = all.of("new");
    REQUIRE(newcomer);
    CHECK(newcomer->log_ratio.mean < newcomer->own.mean);
    CHECK(newcomer->log_ratio.mean > all.crew.log_ratio.mean);
    CHECK(newcomer->borrowed_counts > 0.5);
    CHECK(all.of("nobody") == nullptr);
  }

  TEST_CASE("counts from another block are known from before, at less weight") {
    SeasonBuilder farm;
    farm.block(nthtree::test::block_settings("b2"));
    farm.tags("p1", {270, 280, 275, 265, 285}, 1, "b2").next_day();
    const Standing s = standing_of(farm.season, "b1", "p1", farm.now_ms());
    CHECK(s.counts == 0);
    CHECK(s.own.mean > 0.2);
    CHECK(s.own.sd < 0.3);
  }

  TEST_CASE("standings are finite whatever was counted") {
    for (int spurs : {0, 1, 5000}) {
      SeasonBuilder farm;
      farm.tags("p1", {spurs, spurs});
      const BlockStandings all = block_standings(farm.season, "b1", farm.now_ms());
      for (const Standing* s : {&all.block_standing, &all.crew, all.of("p1")}) {
        REQUIRE(s);
        CHECK(std::isfinite(s->log_ratio.mean));
        CHECK(std::isfinite(s->spurs_per_tree.high));
        CHECK(s->spurs_per_tree.low >= 0);
        CHECK(s->probability_over + s->probability_within + s->probability_under ==
              doctest::Approx(1).epsilon(1e-6));
      }
    }
  }
}
