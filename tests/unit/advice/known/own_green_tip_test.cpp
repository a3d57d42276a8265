// SPDX-License-Identifier: Apache-2.0
#include "advice/known/own_green_tip.h"

#include <doctest/doctest.h>

#include <cmath>

#include "support/days.h"
#include "support/records.h"

using namespace nthtree;
using namespace nthtree::advice;
using namespace nthtree::test;

namespace {

// Two blocks beside a station whose days of each spring are all alike: 1.7 and 12.8 °C, 35.06 and
// 55.04 °F. By hand as in METHODS.md: θ = asin((43 − 45.05) ÷ 9.99) = −0.2067; ((45.05 − 43)(π ÷ 2 +
// 0.2067) + 9.99 cos 0.2067) ÷ π = 4.272 °F degree-days above 43 °F by single sine.
class Farm {
 public:
  Farm() {
    for (const char* block : {"b1", "b2"}) add(block_settings(block), 0);
  }
  void spring(const std::string& first, int days) {
    const auto n = static_cast<std::size_t>(days);
    add(ledger::Temperatures{"Yard", first, std::vector<int>(n, 17), std::vector<int>(n, 128)},
        noon(first));
  }
  void sees(const std::string& block, const std::string& at, int bbch = 53) {
    add(ledger::GrowthStage{block, bbch}, noon(at));
  }
  OwnGreenTip own(const std::string& block) const {
    return own_green_tip(season, block, day("2026-01-01"));
  }
  ledger::Season season;

 private:
  void add(ledger::Body body, std::int64_t at_ms) {
    ledger::Record record{.id = {phone_a, next_++}, .stamp = {at_ms, 0}, .author = "l1",
                          .body = std::move(body)};
    record.clock_ms = at_ms;
    season.apply(*ledger::write_record(std::move(record)));
  }
  std::uint64_t next_ = 1;
};

constexpr double a_day = 4.272;

}  // namespace

TEST_SUITE("advice: own green tip") {
  TEST_CASE("where nobody noted green tip the published sum stands") {
    Farm farm;
    farm.spring("2025-01-01", 60);
    const OwnGreenTip own = farm.own("b1");
    CHECK(own.springs == 0);
    CHECK(own.ratio == doctest::Approx(1));
  }

  // Day 30 is 30 × 4.272 = 128.2, day 24 is 102.5; ln(128.2 ÷ 110) = 0.153 and ln(102.5 ÷ 110) =
  // -0.070. Their mean 0.041 is drawn to none by 0.32² against 0.22²: × 0.1024 ÷ 0.1508 = 0.028. The
  // lower block has 0.1116 beside it, drawn by 0.15² against 0.12²: × 0.0225 ÷ 0.0369 = 0.068.
  TEST_CASE("a block that lies lower takes more of the station's warmth, by hand") {
    Farm farm;
    farm.spring("2025-01-01", 60);
    farm.sees("b1", "2025-01-30");
    farm.sees("b2", "2025-01-24");
    const OwnGreenTip low = farm.own("b1"), high = farm.own("b2");
    REQUIRE(low.noted.size() == 2);
    CHECK(low.noted[0].sum_f == doctest::Approx(30 * a_day).epsilon(0.002));
    const double a = std::log(30 * a_day / 110), b = std::log(24 * a_day / 110);
    CHECK(low.farm_log == doctest::Approx((a + b) / 2 * 0.1024 / 0.1508).epsilon(0.02));
    CHECK(low.block_log == doctest::Approx((a - b) / 2 * 0.0225 / 0.0369).epsilon(0.01));
    CHECK(low.ratio > 1);
    CHECK(high.ratio < 1);
    CHECK(high.block_log == doctest::Approx(-low.block_log));
  }

  TEST_CASE("the more springs, the less of it is taken back; a block by itself has the farm's") {
    Farm farm;
    double before = 0;
    for (const char* year : {"2022", "2023", "2024", "2025"}) {
      farm.spring(std::string(year) + "-01-01", 60);
      farm.sees("b1", std::string(year) + "-01-30");
      farm.sees("b2", std::string(year) + "-01-24");
      CHECK(farm.own("b1").block_log > before);
      before = farm.own("b1").block_log;
    }
    CHECK(farm.own("b1").springs == 4);
    const double whole = std::log(30.0 / 24) / 2;
    CHECK(before > 0.85 * whole);
    CHECK(before < whole);
    Farm alone;
    alone.spring("2025-01-01", 60);
    alone.sees("b1", "2025-01-30");
    CHECK(alone.own("b1").block_log == 0);
    CHECK(alone.own("b2").springs == 0);
    CHECK(alone.own("b2").ratio == doctest::Approx(alone.own("b1").ratio));
  }

  TEST_CASE("notes that cannot be right, or lack days, are left out and said") {
    Farm farm;
    farm.spring("2024-01-01", 20);
    farm.spring("2024-01-25", 30);   // four days are missing
    farm.spring("2025-01-01", 180);
    farm.sees("b1", "2024-01-30");
    farm.sees("b2", "2025-01-02");   // 8.5: nothing had grown
    farm.sees("b1", "2025-06-20");   // 726: midsummer
    const OwnGreenTip own = farm.own("b1");
    REQUIRE(own.noted.size() == 3);
    CHECK(own.noted[0].use == NoteUse::days_missing);
    for (const NotedGreenTip& noted : own.noted) {
      if (noted.block == "b2") CHECK(noted.use == NoteUse::too_cold);
      if (noted.block == "b1" && noted.spring == day("2025-01-01")) {
        CHECK(noted.use == NoteUse::too_warm);
      }
    }
    CHECK(own.farm_springs == 0);
    CHECK(own.ratio == doctest::Approx(1));
  }

  TEST_CASE("where pink was the first that anybody noted, green tip is not known; nor is this year's") {
    Farm farm;
    farm.spring("2025-01-01", 60);
    farm.spring("2026-01-01", 60);
    farm.sees("b1", "2025-02-20", 57);
    farm.sees("b2", "2026-01-28");
    CHECK(farm.own("b1").noted.empty());
  }

  TEST_CASE("springs of the south begin in July") {
    Farm farm;
    farm.spring("2024-07-01", 60);
    farm.sees("b1", "2024-07-30");
    const OwnGreenTip own = own_green_tip(farm.season, "b1", day("2025-07-01"));
    REQUIRE(own.noted.size() == 1);
    CHECK(own.noted[0].spring == day("2024-07-01"));
    CHECK(own.springs == 1);
  }
}
