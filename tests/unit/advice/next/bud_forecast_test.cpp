// SPDX-License-Identifier: Apache-2.0
#include "advice/next/bud_forecast.h"

#include <doctest/doctest.h>

#include <cmath>

#include "base/clock.h"
#include "base/text.h"
#include "support/days.h"
#include "support/records.h"

using namespace nthtree;
using namespace nthtree::advice;
using namespace nthtree::test;

namespace {

// A farm whose days from `first` on are all alike, in whole °F.
class Farm {
 public:
  Farm() {
    season.apply(record_of(phone_a, next_++, 0, block_settings("b1")));
  }
  void days(const std::string& first, int n, double low_f, double high_f,
            const std::string& station = "Yard") {
    const auto tenths = [](double f) { return static_cast<int>(std::lround((f - 32) / 0.18)); };
    std::int64_t from = day(first);
    while (n > 0) {
      const auto part = static_cast<std::size_t>(std::min(n, 180));
      ledger::Temperatures run{station, base::iso_minute(from * base::day_ms).substr(0, 10),
                               std::vector<int>(part, tenths(low_f)),
                               std::vector<int>(part, tenths(high_f))};
      season.apply(record_of(phone_a, next_++, 1, run));
      n -= static_cast<int>(part);
      from += static_cast<std::int64_t>(part);
    }
  }
  void expects(const std::string& green_tip) {
    auto settings = block_settings("b1");
    settings.block.green_tip_date = green_tip;
    season.apply(record_of(phone_a, next_++, 2, settings));
  }
  void names(const std::string& station) {
    auto settings = block_settings("b1");
    settings.block.station = station;
    season.apply(record_of(phone_a, next_++, 2, settings));
  }
  void sees(const std::string& at) {
    const int minute = static_cast<int>((noon(at) - monday_ms) / 60000);
    season.apply(record_of(phone_a, next_++, minute, ledger::GrowthStage{"b1", 53}, "l1"));
  }
  BudForecast at(const std::string& today) const { return bud_forecast(season, "b1", noon(today)); }

  ledger::Season season;

 private:
  std::uint64_t next_ = 1;
};

}  // namespace

TEST_SUITE("advice: bud forecast") {
  // A day of 35 and 55 °F has 4.247 degree-days above 43 °F by sine and 3.600 by triangle (worked
  // by the formulas of Baskerville and Emin 1969, and by the University of California's guide).
  // Twenty such days: 84.9. The middle of 100 to 120 is reached on the 26th of them (110.4), the
  // low of 100 on the 24th by sine; twice as warm on the 22nd; half as warm, to 120 by triangle:
  // 72 are there, 48 more at 1.8 a day take 27 days.
  TEST_CASE("green tip by hand, where days go on as the last ten") {
    Farm farm;
    farm.days("2026-01-01", 20, 35, 55);
    const BudForecast ahead = farm.at("2026-01-20");
    REQUIRE(ahead.state == ForecastState::known);
    CHECK(ahead.start == day("2026-01-01"));
    CHECK(ahead.last == day("2026-01-20"));
    CHECK(ahead.sum_sine == doctest::Approx(84.9).epsilon(0.01));
    CHECK(ahead.sum_triangle == doctest::Approx(72.0).epsilon(0.01));
    CHECK(ahead.a_day_lately == doctest::Approx(4.247).epsilon(0.01));
    CHECK(ahead.green_tip().likely == day("2026-01-26"));
    CHECK(ahead.green_tip().by_triangle == day("2026-01-31"));
    CHECK(ahead.green_tip().early == day("2026-01-22") - 5);
    CHECK(ahead.green_tip().late == day("2026-01-20") + 27 + 5);
    CHECK(ahead.bloom().likely == day("2026-03-30"));
    CHECK(ahead.bloom().late == 0);  // 204 days at half the warmth: not foreseeable
  }

  TEST_CASE("an earlier spring is followed date by date, and one that has holes is not") {
    Farm farm;
    farm.days("2025-01-01", 40, 20, 30);
    farm.days("2025-02-10", 140, 45, 65);  // 12 a day by any method
    farm.days("2026-01-01", 20, 20, 30);
    const BudForecast ahead = farm.at("2026-01-20");
    REQUIRE(ahead.earlier_years == std::vector<int>{1});
    // Nothing before 10 February, then 12 a day: 110 on the tenth day of it.
    CHECK(ahead.green_tip().likely == day("2026-02-19"));
    Farm short_year;
    short_year.days("2025-02-10", 60, 45, 65);
    short_year.days("2026-01-01", 20, 35, 55);
    CHECK(short_year.at("2026-01-20").earlier_years.empty());
  }

  TEST_CASE("missing days are not filled: the window takes them cold and warm, no day is told") {
    Farm whole, holes;
    whole.days("2026-01-01", 20, 35, 55);
    holes.days("2026-01-01", 8, 35, 55);
    holes.days("2026-01-13", 8, 35, 55);
    const BudForecast all = whole.at("2026-01-20"), some = holes.at("2026-01-20");
    REQUIRE(some.gaps.size() == 1);
    CHECK(some.gaps[0].first == day("2026-01-09"));
    CHECK(some.gaps[0].last == day("2026-01-12"));
    CHECK(some.green_tip().likely == 0);
    CHECK(some.green_tip().early == all.green_tip().early);
    CHECK(some.green_tip().late > all.green_tip().late);
  }

  TEST_CASE("nothing is told without temperatures, before counting begins, or without warmth") {
    CHECK(Farm().at("2026-02-01").state == ForecastState::no_temperatures);
    CHECK(Farm().at("2026-11-01").state == ForecastState::not_begun);
    Farm cold;
    cold.days("2026-01-01", 20, 10, 30);
    CHECK(cold.at("2026-01-20").state == ForecastState::too_cold);
    CHECK(bud_forecast(cold.season, "nowhere", 0).state == ForecastState::no_temperatures);
  }

  TEST_CASE("counting begins in July where the farm expects green tip in the second half-year") {
    Farm farm;
    farm.expects("2026-09-10");
    CHECK(farm.at("2026-08-01").start == day("2026-07-01"));
    farm.expects("2026-03-28");
    CHECK(farm.at("2026-02-01").start == day("2026-01-01"));
    // What was expected long ago is another season's.
    CHECK(farm.at("2026-12-01").start == day("2027-01-01"));
  }

  // 30 days of 4.247 before green tip of last spring: 127.4, where 110 is published. One spring draws
  // the farm's sum by 0.32² ÷ (0.32² + 0.22²) = 0.679 of ln(127.4 ÷ 110) = 0.147: 110 × e^0.0998 =
  // 121.5, which 29 such days reach. Kept in tenths of °C a day has 4.272: half a per cent more.
  TEST_CASE("a green tip noted in an earlier spring moves this spring's, by hand") {
    Farm farm;
    farm.days("2025-01-01", 60, 35, 55);
    farm.sees("2025-01-30");
    farm.days("2026-01-01", 20, 35, 55);
    const BudForecast ahead = farm.at("2026-01-20");
    CHECK(ahead.own.springs == 1);
    CHECK(ahead.own.ratio == doctest::Approx(std::exp(0.0998)).epsilon(0.006));
    CHECK(ahead.green_tip().sum_low_f == doctest::Approx(110.5).epsilon(0.006));
    CHECK(ahead.green_tip().likely == day("2026-01-29"));
    CHECK(ahead.bloom().sum_low_f == doctest::Approx(316 * std::exp(0.0998)).epsilon(0.006));
    Farm without;
    without.days("2026-01-01", 20, 35, 55);
    CHECK(without.at("2026-01-20").green_tip().likely == day("2026-01-26"));
  }

  TEST_CASE("another station's days had taken the place of those that a block goes by") {
    Farm farm;
    farm.names("Yard");
    farm.days("2026-01-01", 20, 35, 55);
    farm.days("2026-01-01", 20, 10, 30, "Hill");
    CHECK(farm.at("2026-01-20").green_tip().likely == day("2026-01-26"));
    farm.names("Hill");
    CHECK(farm.at("2026-01-20").state == ForecastState::too_cold);
  }

  TEST_CASE("what somebody saw in the block stands beside it") {
    Farm farm;
    farm.days("2026-02-01", 20, 35, 55);
    auto seen = record_of(phone_b, 1, 30, ledger::GrowthStage{"b1", 53}, "l1");
    farm.season.apply(seen);
    CHECK(farm.at("2026-02-20").green_tip().seen == farm.season.day_of(seen.stamp.at_ms));
    CHECK(farm.at("2026-02-20").bloom().seen == 0);
  }
}
