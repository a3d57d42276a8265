// SPDX-License-Identifier: Apache-2.0
#include "ledger/temperature_runs.h"

#include <doctest/doctest.h>

#include "ledger/season.h"
#include "support/records.h"

using namespace nthtree;
using namespace nthtree::ledger;
using namespace nthtree::test;

TEST_SUITE("ledger: temperature runs") {
  TEST_CASE("a gap begins a record, so does a record's length, and the season reads the same days") {
    std::map<std::int64_t, orchard::DayTemperatures> days;
    for (std::int64_t day = 20454; day < 20454 + 400; ++day) {
      if (day != 20460) days[day] = {-1.26, 4.04};
    }
    const auto runs = temperature_runs("Yard", days);
    REQUIRE(runs.size() == 4);  // 6 days, then 393 as 180 + 180 + 33
    CHECK(runs[0].first_day == "2026-01-01");
    CHECK(runs[1].first_day == "2026-01-08");
    CHECK(runs[1].low_tenths_c.size() == 180);
    Season season;
    for (std::size_t i = 0; i < runs.size(); ++i) {
      season.apply(record_of(phone_a, i + 1, 0, runs[i]));
    }
    REQUIRE(season.weather().days.size() == days.size());
    CHECK(season.weather().days.begin()->second.low == doctest::Approx(-1.3));
    CHECK_FALSE(season.weather().days.contains(20460));
  }
}
