// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/evidence.h"

#include <doctest/doctest.h>

#include <cmath>

#include "advice/internal/count_sums.h"
#include "advice/internal/counting_tally.h"
#include "advice/internal/current.h"
#include "base/random.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

namespace {

PersonEvidence person_with(const std::vector<double>& shares) {
  PersonEvidence person;
  int n = 0;
  for (double share : shares) {
    CountPoint point;
    point.at_ms = ++n;
    point.share_tag = share;
    point.spurs = 200 * share;
    point.tree = {n, 1};
    person.add(point);
  }
  return person;
}

Spread spread_of(double cv) {
  Spread spread;
  spread.variance = cv * cv;
  return spread;
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("counts are gathered by person as shares of the target, with their checks") {
    SeasonBuilder farm;
    farm.tag("p1", 1, 5, 189).tag("p2", 2, 5, 378).check("lead", 1, 5, 200);
    const BlockEvidence here =
        gather(farm.season, *farm.season.block("b1"), 0, always);
    REQUIRE(here.has_target);
    CHECK(here.people.at("p1").counts[0].share_tag == doctest::Approx(1));
    CHECK(here.people.at("p1").counts[0].more().share_check == doctest::Approx(200.0 / 189));
    CHECK(here.people.at("p2").counts[0].share_tag == doctest::Approx(2));
    CHECK(here.people.at("p2").counts[0].more().check < 0);
  }

  TEST_CASE("a re-count after a mend is held against the count after the mend") {
    SeasonBuilder farm;
    nthtree::ledger::TagCount mended = nthtree::test::tag(1, 5, 260);
    mended.spurs_after_mend = 200;
    farm.add(mended, "p1").check("lead", 1, 5, 220);
    const BlockEvidence here = gather(farm.season, *farm.season.block("b1"), 0, always);
    const CountPoint& point = here.people.at("p1").counts[0];
    CHECK(point.log_ratio() == doctest::Approx(std::log(220.5 / 200.5)));
    // The standing is that of the tree before the mend: what the lead found and what came off.
    const double factor = 1.1;
    CHECK(point.share(factor) * here.target_spurs == doctest::Approx(220 + 60 * factor));
    CountingTally tally;
    tally.take(farm.season, *farm.season.block("b1"), always);
    std::map<std::string, PersonTally> people;
    tally.add_to(people);
    CHECK(people["p1"].pairs == 1);
    CHECK(people["p1"].pair_sum == doctest::Approx(std::log(220.5 / 200.5)));
  }

  TEST_CASE("a count keeps no room for what few counts have, and takes it along when copied") {
    CHECK(sizeof(CountPoint) <= 48);
    CountPoint plain;
    plain.share_tag = 1.2;
    CHECK(!plain.has_check());
    CHECK(!plain.is_look());
    CHECK(plain.share(1.1) == 1.2 * 1.1);
    CountPoint checked = plain;
    checked.add_more().check = 210;
    checked.add_more().share_check = 1.05;
    CHECK(!plain.has_more());
    CountPoint copy = checked;
    checked.add_more().share_check = 2;
    CHECK(copy.share(1.1) == 1.05);
    copy = plain;
    CHECK(!copy.has_check());
    checked.scale(2);
    CHECK(checked.share(1) == 1);
    CHECK(checked.share_tag == 0.6);
  }

  TEST_CASE("from a flat start the level is the plain mean, its variance cv² ÷ n") {
    const Track level = track(person_with({1.1, 1.3, 1.2, 1.4}), 200, 0, spread_of(0.25), {}, {});
    CHECK(std::exp(level.mean) == doctest::Approx(1.25));
    CHECK(level.variance == doctest::Approx(0.0625 / 4));
    CHECK(level.counts == 4);
  }

  TEST_CASE("what a person misses is put back, but not where the lead has counted") {
    PersonEvidence person = person_with({1.0, 1.0});
    person.counts[1].add_more().check = 230;
    person.counts[1].add_more().share_check = 1.15;
    const Track level = track(person, 200, std::log(1.15), spread_of(0.25), {}, {});
    CHECK(std::exp(level.mean) == doctest::Approx(1.15));
    CHECK(level.unchecked_share == doctest::Approx(0.5));
    CHECK(level.checks == 1);
  }

  TEST_CASE("advice moves the level by most of what was told and loosens it") {
    PersonEvidence person = person_with({1.5, 1.5, 1.5, 1.5});
    const Track before = track(person, 200, 0, spread_of(0.25), {}, {});
    person.advice.push_back({100, nthtree::ledger::Direction::harder, 100});
    const Track after = track(person, 200, 0, spread_of(0.25), {}, {});
    CHECK(std::exp(after.mean) < 1.2);
    CHECK(std::exp(after.mean) > 1.0);
    CHECK(after.variance > before.variance + 0.01);
    CHECK(after.counts == 0);
    CHECK(after.counts_before == 4);
    // Told that all is well, nothing is opened.
    person.advice[0].direction = nthtree::ledger::Direction::on_target;
    CHECK(track(person, 200, 0, spread_of(0.25), {}, {}).counts == 4);
  }

  TEST_CASE("a night loosens the level a little") {
    PersonEvidence person = person_with({1.0, 1.0, 1.0, 1.0});
    const Track same_day = track(person, 200, 0, spread_of(0.25), {}, {});
    for (std::size_t i = 2; i < 4; ++i) person.counts[i].day = 1;
    CHECK(track(person, 200, 0, spread_of(0.25), {}, {}).variance > same_day.variance);
  }

  TEST_CASE("nights add up to a week, and no further") {
    PersonEvidence person = person_with({1.0, 1.0});
    const auto variance_after = [&](std::int64_t nights) {
      person.counts[1].day = nights;
      return track(person, 200, 0, spread_of(0.25), {}, {}).variance;
    };
    CHECK(variance_after(1) < variance_after(3));
    CHECK(variance_after(7) > variance_after(3));
    CHECK(variance_after(60) == variance_after(7));
  }

  TEST_CASE("one low count outweighed what was known of a steady person") {
    // 79 counts elsewhere put the level at the target to ±12 %; then one tree at 45 % of it.
    const TrackStart known{0, 0.12 * 0.12};
    const Track low = track(person_with({0.45}), 200, 0, spread_of(0.25), {}, known);
    const Track high = track(person_with({1.55}), 200, 0, spread_of(0.25), {}, known);
    CHECK(std::exp(low.mean) > 0.87);
    CHECK(1 - std::exp(low.mean) == doctest::Approx(std::exp(high.mean) - 1));
    CHECK(low.variance == doctest::Approx(high.variance));
  }

  TEST_CASE("the level came out low because low counts weighed more") {
    nthtree::base::Random random(5);
    double sum = 0, z_low = 0, z_high = 0;
    constexpr int people = 4000;
    for (int n = 0; n < people; ++n) {
      PersonEvidence person;
      for (int day = 0; day < 4; ++day) {
        CountPoint point;
        point.at_ms = day + 1;
        point.day = day;
        point.tree = {day + 1, 1};
        point.share_tag = static_cast<double>(random.negative_binomial(200, 16)) / 200;
        person.add(point);
      }
      const Track level = track(person, 200, 0, spread_of(0.25), {}, {});
      const double share = std::exp(level.mean);
      sum += share / people;
      z_low += (1 - share) / std::sqrt(level.variance) > 1.645;
      z_high += (share - 1) / std::sqrt(level.variance) > 1.645;
    }
    CHECK(sum == doctest::Approx(1).epsilon(0.006));  // one standard error is 0.002
    CHECK(z_low / people < 0.06);
    CHECK(z_high / people < 0.06);
  }

  TEST_CASE("a few bare trees are set aside, many are not") {
    const Track few = track(person_with({1.0, 0.0, 1.0, 1.0}), 200, 0, spread_of(0.25), {}, {});
    CHECK(std::exp(few.mean) == doctest::Approx(1.0));
    CHECK(few.counts == 4);
    const Track many =
        track(person_with({0.1, 0.05, 0.1, 0.12}), 200, 0, spread_of(0.25), {}, {});
    CHECK(std::exp(many.mean) < 0.2);
  }

  TEST_CASE("a spread is drawn from what is usual to what was seen") {
    SpreadSums seen;
    CHECK(std::sqrt(block_spread(seen).variance) == doctest::Approx(0.29));
    seen.squares = 100 * 0.16 * 0.16;
    seen.df = 100;
    CHECK(std::sqrt(block_spread(seen).variance) == doctest::Approx(0.17).epsilon(0.05));
  }

  TEST_CASE("alternating rows of rich and poor trees are seen as rows that differ") {
    PersonEvidence person;
    for (int n = 0; n < 60; ++n) {
      CountPoint point;
      point.at_ms = n + 1;
      point.tree = {1 + n / 5, 1 + n % 5};
      point.share_tag = (n / 5 % 2 ? 1.3 : 0.7) + 0.05 * (n % 3);
      person.add(point);
    }
    const Spread spread = block_spread(spread_sums(person, 0));
    CHECK(spread.row_share > 0.3);
    CHECK(person_spread(CountSums(person, 0, 0.25), spread).inflation() > 2);
    CHECK(spread.row_doubt < 0.001);
    CHECK(spread.rows_df == 11);
  }

  TEST_CASE("rows that are alike are seldom taken to differ, and cost little when they are") {
    nthtree::base::Random random(4);
    int doubted = 0;
    double inflation = 0;
    constexpr int blocks = 400;
    for (int block = 0; block < blocks; ++block) {
      PersonEvidence person;
      for (int n = 0; n < 30; ++n) {
        CountPoint point;
        point.at_ms = n + 1;
        point.tree = {1 + n / 5, 1 + n % 5};
        point.share_tag = static_cast<double>(random.negative_binomial(200, 16)) / 200;
        person.add(point);
      }
      const SpreadSums sums = spread_sums(person, 0);
      const Spread spread = block_spread(sums);
      doubted += spread.row_doubt < 0.05;
      inflation += person_spread(CountSums(person, 0, 0.25), spread).inflation() / blocks;
    }
    CHECK(doubted < 40);  // 20 expected
    CHECK(inflation < 1.35);
  }

  TEST_CASE("one row alone cannot tell whether rows differ") {
    PersonEvidence person = person_with({1.2, 1.3, 1.1, 1.4, 1.2, 1.25});
    for (CountPoint& point : person.counts) point.tree.row = 1;
    const Spread spread = block_spread(spread_sums(person, 0));
    CHECK(spread.rows_df == 0);
    CHECK(spread.row_doubt == 1);
    CHECK(person_spread(CountSums(person, 0, 0.25), spread).rows_seen == doctest::Approx(1));
  }
}
