// SPDX-License-Identifier: Apache-2.0
#include "advice/next/going_back.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "base/clock.h"
#include "base/text.h"
#include "unit/advice/season_builder.h"

using namespace nthtree;
using namespace nthtree::advice;

namespace {

ledger::RowDone whole_row(int number) {
  ledger::RowDone done;
  done.block = "b1";
  done.row = number;
  return done;
}

// Spurs about `mean`, a fifth up and down in turn.
int spurs_near(double mean, int i) {
  constexpr double swing[] = {0.86, 1.1, 0.94, 1.15, 0.95};
  return static_cast<int>(std::lround(mean * swing[i % 5]));
}

// Counts every ninth tree and logs each row at its end.
void prune_rows(test::SeasonBuilder& farm, const std::string& person, int first, int last,
                double mean) {
  int i = 0;
  for (int number = first; number <= last; ++number) {
    for (int tree = 5; tree <= 90; tree += 17) {
      farm.tag(person, number, tree, spurs_near(mean, i++)).minutes(20);
    }
    farm.add(whole_row(number), person);
    if (number % 2 == 0) farm.next_day();
  }
}

test::SeasonBuilder farm_with_rates() {
  test::SeasonBuilder farm;
  ledger::FarmSettings settings;
  settings.name = "Two Creeks";
  settings.wage_per_hour = 18;
  settings.fruit_price_per_kg = 0.8;
  settings.hand_thinning_fruitlets_per_hour = 300;
  farm.add(settings, "boss");
  // Everybody is re-counted and counts well, so that counting is no excuse.
  for (const char* person : {"p1", "p2", "p3"}) {
    for (int tree = 1; tree <= 6; ++tree) {
      farm.tag(person, 40, 10 * tree + person[1] - '0', 190).check("lead", 40, 10 * tree + person[1] - '0', 190);
    }
  }
  return farm;
}

const Stretch* stretch_of(const std::vector<Stretch>& all, const std::string& person, int row) {
  for (const Stretch& stretch : all) {
    if (stretch.person == person &&
        std::find(stretch.rows.begin(), stretch.rows.end(), row) != stretch.rows.end()) {
      return &stretch;
    }
  }
  return nullptr;
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("the rows of whoever leaves far too many come first, and it pays to go back") {
    test::SeasonBuilder farm = farm_with_rates();
    prune_rows(farm, "p1", 1, 4, 188);
    prune_rows(farm, "p2", 5, 8, 330);
    prune_rows(farm, "p3", 9, 12, 190);
    const std::vector<Stretch> all = stretches_in(farm.season, "b1", farm.now_ms());
    REQUIRE_FALSE(all.empty());
    CHECK(all.front().person == "p2");
    CHECK(all.front().what == Back::go);
    CHECK(all.front().gain > 0);
    CHECK(all.front().chance_it_pays > 0.9);
    CHECK(all.front().over_target.low < 330 - 188);
    CHECK(all.front().over_target.high > 120);
    CHECK(all.front().reasons.size() <= 3);
    CHECK(stretch_of(all, "p1", 2)->what != Back::go);
    CHECK(stretch_of(all, "p3", 10)->what != Back::go);
  }

  TEST_CASE("what was pruned before advice and after it are two stretches") {
    test::SeasonBuilder farm = farm_with_rates();
    prune_rows(farm, "p2", 5, 8, 330);
    farm.advice("p2", ledger::Direction::harder, 140).minutes(30);
    prune_rows(farm, "p2", 9, 12, 186);
    const std::vector<Stretch> all = stretches_in(farm.season, "b1", farm.now_ms());
    const Stretch* before = stretch_of(all, "p2", 6);
    const Stretch* after = stretch_of(all, "p2", 11);
    REQUIRE(before);
    REQUIRE(after);
    CHECK(before != after);
    CHECK(before->spurs_per_tree.value > 1.4 * after->spurs_per_tree.value);
    CHECK(before->what == Back::go);
    CHECK(after->what == Back::leave);
  }

  TEST_CASE("too few cannot be put back: its price is told and no hour is spent") {
    test::SeasonBuilder farm = farm_with_rates();
    prune_rows(farm, "p1", 1, 4, 95);
    const std::vector<Stretch> all = stretches_in(farm.season, "b1", farm.now_ms());
    const Stretch* stretch = stretch_of(all, "p1", 2);
    REQUIRE(stretch);
    CHECK(stretch->what == Back::too_few);
    CHECK(stretch->cost_later > 0);
    CHECK(stretch->gain == 0);
    CHECK(stretch->reasons.front().id == "back_short");
  }

  TEST_CASE("from good to far over by one count: leave, then count some trees first, then go") {
    std::vector<Back> said;
    for (int spurs = 160; spurs <= 400; spurs += 6) {
      test::SeasonBuilder farm = farm_with_rates();
      prune_rows(farm, "p1", 1, 6, 188);
      farm.tag("p4", 8, 30, spurs);
      for (int number = 7; number <= 9; ++number) farm.add(whole_row(number), "p4");
      const std::vector<Stretch> all = stretches_in(farm.season, "b1", farm.now_ms());
      const Stretch* stretch = stretch_of(all, "p4", 8);
      REQUIRE(stretch);
      if (said.empty() || said.back() != stretch->what) said.push_back(stretch->what);
      if (stretch->what != Back::look_first) continue;
      CHECK(stretch->looks.net > 0);
      CHECK(stretch->reasons.front().id == "back_look");
    }
    CHECK(said == std::vector<Back>{Back::leave, Back::look_first, Back::go});
  }

  TEST_CASE("without rates nothing is said to pay in money, and the order is by spurs an hour") {
    test::SeasonBuilder farm;
    ledger::FarmSettings bare;
    bare.name = "Two Creeks";
    farm.add(bare, "boss");
    prune_rows(farm, "p1", 1, 4, 188);
    prune_rows(farm, "p2", 5, 8, 330);
    const GoingBack back = going_back(farm.season, farm.now_ms());
    CHECK_FALSE(back.has_rates);
    REQUIRE_FALSE(back.stretches.empty());
    CHECK(back.stretches.front().person == "p2");
    CHECK(back.stretches.front().cost_now == 0);
  }

  TEST_CASE("going back that no longer fits before green tip is said to be late") {
    test::SeasonBuilder farm = farm_with_rates();
    ledger::BlockSettings settings = test::block_settings("b1");
    settings.block.green_tip_date = "2026-02-01";  // past
    farm.block(settings);
    prune_rows(farm, "p2", 5, 8, 330);
    const std::vector<Stretch> all = stretches_in(farm.season, "b1", farm.now_ms());
    REQUIRE_FALSE(all.empty());
    CHECK_FALSE(all.front().in_time);
    CHECK(all.front().reasons.front().id == "back_late");
  }

  TEST_CASE("where a second pass is allowed, what does not fit before green tip waits for it") {
    test::SeasonBuilder farm = farm_with_rates();
    prune_rows(farm, "p2", 5, 8, 330);
    const std::int64_t today = farm.season.day_of(farm.now_ms());
    const auto day = [&](int later) {
      return base::iso_minute((today + later) * base::day_ms).substr(0, 10);
    };
    ledger::BlockSettings settings = test::block_settings("b1");
    settings.block.green_tip_date = day(0);
    settings.block.second_pass_until = day(6);
    farm.block(settings);
    const Stretch within = stretches_in(farm.season, "b1", farm.now_ms()).front();
    REQUIRE(within.person == "p2");
    // The pruning that is left comes first: the other rows need these days themselves.
    CHECK_FALSE(within.in_time);
    for (int number = 9; number <= 40; ++number) farm.add(whole_row(number), "p1");
    const Stretch after = stretches_in(farm.season, "b1", farm.now_ms()).front();
    CHECK(after.in_time);
    CHECK(after.in_second_pass);
    CHECK(after.reasons.front().id == "back_second_pass");
    settings.block.second_pass_until = "";
    farm.block(settings);
    CHECK_FALSE(stretches_in(farm.season, "b1", farm.now_ms()).front().in_time);
  }

  TEST_CASE("the minutes of a mend are learnt from mends that were timed") {
    test::SeasonBuilder farm = farm_with_rates();
    prune_rows(farm, "p2", 5, 8, 330);
    const Stretch by_pace = stretches_in(farm.season, "b1", farm.now_ms()).front();
    CHECK(by_pace.mended_trees == 0);
    const auto mend = [&](int tree, int seconds) {
      ledger::TagCount tag = test::tag(20, tree, 250);
      tag.spurs_after_mend = 190;
      tag.mend_seconds = seconds;
      farm.add(tag, "p1");
    };
    for (int tree = 1; tree <= 40; ++tree) mend(tree, 600);  // ten seconds a spur
    mend(41, 3600);                                          // a break, not a mend
    const Stretch learnt = stretches_in(farm.season, "b1", farm.now_ms()).front();
    CHECK(learnt.mended_trees == 40);
    // 150 spurs' worth of the pace beside 2,400 spurs at ten seconds.
    const double per_spur = (learnt.minutes_per_tree - 0.5) / learnt.over_target.value;
    const double before = (by_pace.minutes_per_tree - 0.5) / by_pace.over_target.value;
    CHECK(per_spur == doctest::Approx((150 * before + 40 * 10) / (150 + 2400)).epsilon(0.05));
  }

  TEST_CASE("no rows, no target, no block: an empty list") {
    test::SeasonBuilder farm;
    CHECK(stretches_in(farm.season, "b1", farm.now_ms()).empty());
    CHECK(stretches_in(farm.season, "nowhere", farm.now_ms()).empty());
    CHECK(going_back(farm.season, farm.now_ms()).stretches.empty());
  }
}
