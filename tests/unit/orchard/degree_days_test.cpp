// SPDX-License-Identifier: Apache-2.0
#include "orchard/degree_days.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "base/random.h"

using namespace nthtree::orchard;

TEST_SUITE("orchard") {
  TEST_CASE("the sine's warmth is the area of a sine drawn in a thousand steps") {
    nthtree::base::Random random(8);
    for (int run = 0; run < 100; ++run) {
      const double low = 30 * random.uniform();
      const DayTemperatures day{low, low + 1 + 40 * random.uniform()};
      const Thresholds thresholds{20, 45};
      double area = 0;
      constexpr int steps = 4000;
      for (int step = 0; step < steps; ++step) {
        const double phase = std::numbers::pi * ((step + 0.5) / steps - 0.5);
        const double height =
            (day.low + day.high) / 2 + (day.high - day.low) / 2 * std::sin(phase);
        area += std::min(std::max(height - 20, 0.0), 25.0) / steps;
      }
      CHECK(degree_days(day, thresholds, DayCurve::sine) == doctest::Approx(area).epsilon(0.001));
    }
  }

  TEST_CASE("a day wholly above both, or below, is the same by either curve") {
    for (const DayCurve curve : {DayCurve::triangle, DayCurve::sine}) {
      CHECK(degree_days({50, 60}, {43}, curve) == doctest::Approx(12));
      CHECK(degree_days({20, 43}, {43}, curve) == 0);
      CHECK(degree_days({75, 90}, {50, 70}, curve) == doctest::Approx(20));
    }
  }

  TEST_CASE("degrees Fahrenheit make 1.8 times the degree-days of degrees Celsius") {
    const double in_f = degree_days({35, 61}, {apple_base_f}, DayCurve::sine);
    const double in_c = degree_days({3 / 1.8, 29 / 1.8}, {apple_base_c}, DayCurve::sine);
    CHECK(in_f == doctest::Approx(1.8 * in_c));
  }

  TEST_CASE("a night warmer than the day before it is still a curve") {
    const double warmth = degree_days_double({40, 50}, 55, {43}, DayCurve::triangle);
    CHECK(std::isfinite(warmth));
    CHECK(warmth > degree_days_double({40, 50}, 40, {43}, DayCurve::triangle));
  }
}
