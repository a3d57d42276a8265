// SPDX-License-Identifier: Apache-2.0
#include "ledger/season_span.h"

#include <doctest/doctest.h>

#include <limits>

#include "support/records.h"

using namespace nthtree::ledger;
using nthtree::test::monday_ms;
using nthtree::test::phone_a;
using nthtree::test::record_of;
using nthtree::test::tag;

namespace {

constexpr std::int64_t day_ms = 24LL * 3600 * 1000;
constexpr std::int64_t end_of_time = std::numeric_limits<std::int64_t>::max();

// One count on each of these days, in two blocks by turns.
Season counted_on(const std::vector<int>& days) {
  Season season;
  std::uint64_t sequence = 0;
  for (int number : days) {
    ++sequence;
    season.apply(record_of(phone_a, sequence, number * 24 * 60,
                           tag(1, 5, 200, sequence % 2 ? "b1" : "b2")));
  }
  return season;
}

}  // namespace

TEST_SUITE("ledger") {
  TEST_CASE("a season without a count begins nowhere") {
    CHECK(season_begins(Season{}, end_of_time) < 0);
    CHECK(counts_before(Season{}, end_of_time) == 0);
  }

  TEST_CASE("a long winter is one season, as long as somebody counts somewhere") {
    const Season season = counted_on({0, 60, 150, 151, 240});
    CHECK(season_begins(season, end_of_time) == monday_ms);
    CHECK(counts_before(season, monday_ms) == 0);
  }

  TEST_CASE("four months without any count part two seasons, and each can be looked at") {
    const Season season = counted_on({0, 40, 330, 360});
    const std::int64_t second = monday_ms + 330 * day_ms;
    CHECK(season_begins(season, end_of_time) == second);
    CHECK(season_begins(season, second) == second);
    CHECK(season_begins(season, second - 1) == monday_ms);
    CHECK(counts_before(season, second) == 2);
  }

  TEST_CASE("a farm that counted some limbs alone had no season at all") {
    Season season;
    season.apply(record_of(phone_a, 1, 0, PartCount{"b1", {1, 5}, {{20, 2, 10}, {9, 12}, 60}}));
    season.apply(record_of(phone_a, 2, 330 * 24 * 60, tag(1, 5, 200)));
    CHECK(season_begins(season, monday_ms) == monday_ms);
    CHECK(season_begins(season, end_of_time) == monday_ms + 330 * day_ms);
    CHECK(counts_before(season, end_of_time) == 2);
  }
}
