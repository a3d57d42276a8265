// SPDX-License-Identifier: Apache-2.0
#include <doctest/doctest.h>

#include <algorithm>
#include <iterator>

#include "ledger/current.h"
#include "ledger/season.h"
#include "support/records.h"

using namespace nthtree::ledger;
using namespace nthtree::test;

namespace {

Temperatures run(const std::string& first_day, std::vector<int> lows, std::vector<int> highs,
                 const std::string& station = "Yard") {
  return {station, first_day, std::move(lows), std::move(highs)};
}

// A tree, the season's end, the next season's settings in the same moment, another tree.
std::vector<Record> two_seasons() {
  auto later = block_settings("b1");
  later.block.name = "Next year";
  return {record_of(phone_a, 1, 0, block_settings("b1")),
          record_of(phone_a, 2, 10, tag(1, 10, 150)),
          record_of(phone_a, 3, 20, SeasonClosed{2026}, "m1"),
          record_of(phone_a, 4, 20, later, "m1"),
          record_of(phone_a, 5, 30, tag(1, 20, 160))};
}

std::size_t trees(const Season& season) {
  std::size_t count = 0;
  for (const auto& entry : current(season.block("b1")->tag_counts)) count += entry.body.spurs > 0;
  return count;
}

}  // namespace

TEST_SUITE("ledger: years") {
  TEST_CASE("what was written before a season was closed stands no more, in whatever order it came") {
    std::vector<Record> records = two_seasons();
    std::string fingerprint;
    std::sort(records.begin(), records.end(),
              [](const Record& a, const Record& b) { return a.id.sequence < b.id.sequence; });
    do {
      Season season;
      for (const Record& record : records) season.apply(record);
      REQUIRE(trees(season) == 1);
      CHECK((*current(season.block("b1")->tag_counts).begin()).body.spurs == 160);
      if (fingerprint.empty()) fingerprint = season.fingerprint();
      REQUIRE(season.fingerprint() == fingerprint);
    } while (std::next_permutation(
        records.begin(), records.end(),
        [](const Record& a, const Record& b) { return a.id.sequence < b.id.sequence; }));
    Season loaded;
    loaded.apply_all(records);
    CHECK(loaded.fingerprint() == fingerprint);
    CHECK(trees(loaded) == 1);
  }

  TEST_CASE("a closed season is kept, with the settings that it ended with") {
    Season season;
    season.apply_all(two_seasons());
    REQUIRE(season.spans().size() == 2);
    CHECK(season.spans()[0].year == 2026);
    CHECK(season.spans()[0].closed_by == "m1");
    const Season then = season.as_of_span(0);
    REQUIRE(trees(then) == 1);
    CHECK((*current(then.block("b1")->tag_counts).begin()).body.spurs == 150);
    CHECK(then.block("b1")->block->name != "Next year");
    CHECK(season.block("b1")->block->name == "Next year");
  }

  TEST_CASE("a season closed twice ends where it was closed first") {
    auto records = two_seasons();
    records.push_back(record_of(phone_b, 1, 40, SeasonClosed{2026}, "m2"));
    Season season;
    season.apply_all(records);
    CHECK(season.spans().size() == 2);
    CHECK(season.spans()[0].closed_by == "m1");
    CHECK(trees(season) == 1);
    // Handed over is the one that counts.
    const auto ids = season.settings_in_force();
    CHECK(std::count(ids.begin(), ids.end(), records[2].id) == 1);
    CHECK(std::count(ids.begin(), ids.end(), records.back().id) == 0);
  }

  TEST_CASE("a closing taken back opens the season again") {
    auto records = two_seasons();
    records.push_back(record_of(phone_a, 6, 40, Withdrawal{}, "m1", records[2].id));
    Season season;
    for (const Record& record : records) season.apply(record);
    CHECK(season.spans().size() == 1);
    CHECK(trees(season) == 2);
  }

  TEST_CASE("of two records with the same day the later counts, and days stand by their dates") {
    Season season;
    season.apply(record_of(phone_a, 1, 10, run("2026-01-01", {-50, -21, 0}, {20, 30, 125})));
    season.apply(record_of(phone_b, 1, 20, run("2026-01-03", {-5}, {111})));
    season.apply(record_of(phone_b, 2, 15, run("2026-01-03", {7}, {99})));
    const auto& days = season.weather().days;
    REQUIRE(days.size() == 3);
    CHECK(days.begin()->first == 20454);  // 2026-01-01, counted by hand: 56 years, 14 leap days
    CHECK(days.begin()->second.low == doctest::Approx(-5.0));
    CHECK(days.rbegin()->second.high == doctest::Approx(11.1));
  }

  TEST_CASE("days of two stations are never mixed: a block has those of the one it names") {
    Season season;
    auto low = block_settings("b1");
    low.block.station = "Yard";
    auto new_ground = block_settings("b3");
    new_ground.block.station = "Ridge";
    season.apply(record_of(phone_a, 1, 5, low));
    season.apply(record_of(phone_a, 2, 6, block_settings("b2")));
    season.apply(record_of(phone_a, 3, 7, new_ground));
    season.apply(record_of(phone_a, 4, 10, run("2026-01-01", {0, 0}, {10, 10})));
    season.apply(record_of(phone_a, 5, 20, run("2026-01-05", {0}, {10}, "Hill")));
    CHECK(season.stations().size() == 2);
    CHECK(season.weather().station == "Hill");
    CHECK(season.weather().days.size() == 1);
    CHECK(season.weather_of("b1").station == "Yard");
    CHECK(season.weather_of("b1").days.size() == 2);
    CHECK(season.weather_of("b2").station == "Hill");
    CHECK(season.weather_of("no such block").station == "Hill");
    CHECK(season.station_of("b3") == "Ridge");
    CHECK(season.weather_of("b3").days.empty());  // no other station's days in place of its own
    CHECK(Season().weather().days.empty());
  }
}
