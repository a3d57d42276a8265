// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/count_sums.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "base/random.h"

using namespace nthtree::advice;

namespace {

constexpr double bias_log_mean = 0.08, limb_variance = 0.25;

// A season of one person: days of a few counts each, some bare, some re-counted, advice now and
// then, and some limbs counted on one day in five.
PersonEvidence season_of(std::uint64_t seed, int counts) {
  nthtree::base::Random random(seed);
  PersonEvidence person;
  std::int64_t day = 1;
  for (int i = 0; i < counts; ++i) {
    if (random.chance(0.15)) day += 1 + static_cast<std::int64_t>(random.below(3));
    CountPoint point;
    point.at_ms = day * 1000 + i;
    point.day = static_cast<int>(day);
    point.tree = {1 + static_cast<int>(random.below(4)), i + 1};
    point.spurs = static_cast<double>(random.negative_binomial(180, 20));
    if (random.chance(0.05)) point.spurs = 0;
    point.share_tag = point.spurs / 160;
    if (random.chance(0.2)) {
      point.add_more().check = point.spurs + 10;
      point.add_more().share_check = point.more().check / 160;
    }
    if (day % 5 == 0) point.add_more().limbs = 4, point.add_more().limbs_in_tree = 20;
    person.add(point);
    if (random.chance(0.04)) {
      person.advice.push_back({point.at_ms + 1, nthtree::ledger::Direction::harder, 20});
    }
  }
  return person;
}

// The same up to a count, as it was known then.
PersonEvidence up_to(const PersonEvidence& person, std::size_t counts) {
  PersonEvidence then;
  for (std::size_t i = 0; i < counts; ++i) then.add(person.counts[i]);
  for (const AdvicePoint& advice : person.advice) {
    if (counts > 0 && advice.at_ms < then.counts.back().at_ms) then.advice.push_back(advice);
  }
  return then;
}

bool same(const SpreadSums& a, const SpreadSums& b) {
  return a.squares == b.squares && a.df == b.df && a.limb_squares == b.limb_squares &&
         a.products == b.products && a.pairs == b.pairs && a.row_squares == b.row_squares &&
         a.row_df == b.row_df && a.rows_squares == b.rows_squares && a.rows_df == b.rows_df &&
         a.rows_counts == b.rows_counts && a.bare == b.bare && a.counts == b.counts;
}

bool same(std::span<const DayCounts> a, std::span<const DayCounts> b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](const auto& one, const auto& other) {
    return one.day == other.day && one.counts == other.counts && one.used == other.used &&
           one.checked == other.checked && one.last_spurs == other.last_spurs &&
           one.whole == other.whole && one.tags == other.tags && one.checks == other.checks;
  });
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("counts added up one by one say to the last bit what they say all at once") {
    const PersonEvidence season = season_of(3, 300);
    CountSums sums;
    for (std::size_t counts = 1; counts <= season.counts.size(); ++counts) {
      const PersonEvidence then = up_to(season, counts);
      sums.take(then, bias_log_mean, limb_variance);
      const CountSums anew(then, bias_log_mean, limb_variance);
      REQUIRE(same(sums.spread(), spread_sums(then, bias_log_mean, limb_variance)));
      REQUIRE(same(sums.spread(), anew.spread()));
      REQUIRE(sums.counts_a_row() == anew.counts_a_row());
      REQUIRE(same(sums.days(), anew.days()));
    }
    CHECK(sums.days().size() > 30);
  }

  TEST_CASE("sums made for one bias, or other limbs, are not used for another") {
    const PersonEvidence season = season_of(4, 120);
    CountSums sums(season, bias_log_mean, limb_variance);
    sums.take(season, 0.2, limb_variance);
    CHECK(same(sums.spread(), spread_sums(season, 0.2, limb_variance)));
    sums.take(season, 0.2, 0.4);
    CHECK(same(sums.spread(), spread_sums(season, 0.2, 0.4)));
    const PersonEvidence fewer = up_to(season, 40);
    sums.take(fewer, 0.2, 0.4);
    CHECK(same(sums.spread(), spread_sums(fewer, 0.2, 0.4)));
  }

  TEST_CASE("a level followed day by day is the one followed count by count") {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
      const PersonEvidence season = season_of(seed, 200);
      const CountSums sums(season, bias_log_mean, limb_variance);
      const Spread spread = person_spread(sums, block_spread(sums.spread()));
      const TrackStart start = seed % 2 ? TrackStart{} : TrackStart{0.1, 0.02};
      const auto by_count = track(season, 160, bias_log_mean, spread, {}, start);
      const auto by_day = track(season, 160, bias_log_mean, spread, {}, start, sums.days());
      CHECK(std::fabs(by_day.mean - by_count.mean) < 1e-12);
      CHECK(by_day.variance == doctest::Approx(by_count.variance).epsilon(1e-12));
      CHECK(by_day.unchecked_share == doctest::Approx(by_count.unchecked_share).epsilon(1e-12));
      CHECK(by_day.last_surprise == doctest::Approx(by_count.last_surprise).epsilon(1e-10));
      CHECK(by_day.open == doctest::Approx(by_count.open).epsilon(1e-12));
      CHECK(by_day.counts == by_count.counts);
      CHECK(by_day.counts_before == by_count.counts_before);
      CHECK(by_day.checks == by_count.checks);
      CHECK(by_day.part_counts == by_count.part_counts);
      CHECK(by_day.last_spurs == by_count.last_spurs);
      CHECK(by_day.last_ms == by_count.last_ms);
      CHECK(by_day.segment_start_ms == by_count.segment_start_ms);
    }
  }

  TEST_CASE("the last counts are looked at as if there had been no others") {
    const PersonEvidence season = season_of(7, 150);
    PersonEvidence end;
    for (std::size_t i = 150 - 64; i < 150; ++i) end.add(season.counts[i]);
    for (const AdvicePoint& advice : season.advice) {
      if (advice.at_ms >= end.counts.front().at_ms) end.advice.push_back(advice);
    }
    const CountRun last = season.last(64);
    REQUIRE(last.counts.size() == 64);
    CHECK(last.advice.size() == end.advice.size());
    CHECK(last.bare_few == end.bare_few);
    CHECK(same(spread_sums(last, 0, limb_variance), spread_sums(end, 0, limb_variance)));
    CHECK(season.last(500).counts.size() == 150);
  }

  TEST_CASE("the last counts added up one by one say to the last bit what they say all at once") {
    const PersonEvidence season = season_of(9, 200);
    PersonEvidence held;
    LastSums kept;
    auto told = season.advice.begin();
    for (const CountPoint& point : season.counts) {
      while (told != season.advice.end() && told->at_ms < point.at_ms) {
        held.advice.push_back(*told++);
        kept = {};  // advice is not added at the end: all is looked at anew
      }
      held.add(point);
      kept.take(held, bias_log_mean, limb_variance);
      LastSums anew;
      anew.take(held, bias_log_mean, limb_variance);
      REQUIRE(same(kept.spread(), anew.spread()));
      REQUIRE(same(kept.days(), anew.days()));
      REQUIRE(kept.run().counts.data() == anew.run().counts.data());
      REQUIRE(kept.run().counts.size() == std::min<std::size_t>(held.counts.size(), 64));
    }
    kept.take(held, 0.3, limb_variance);
    CHECK(same(kept.spread(), spread_sums(season.last(64), 0.3, limb_variance)));
  }
}
