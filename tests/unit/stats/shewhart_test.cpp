// SPDX-License-Identifier: Apache-2.0
#include "stats/shewhart.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

using namespace nthtree::stats;

TEST_SUITE("stats") {
  TEST_CASE("range constants have their closed forms for two values") {
    CHECK(range_d2(2) == doctest::Approx(2 / std::sqrt(std::numbers::pi)).epsilon(1e-10));
    CHECK(range_d3(2) == doctest::Approx(std::sqrt(2 - 4 / std::numbers::pi)).epsilon(1e-8));
    CHECK(range_d2(3) == doctest::Approx(3 / std::sqrt(std::numbers::pi)).epsilon(1e-10));
    for (std::size_t n = 2; n < 30; ++n) CHECK(range_d2(n + 1) > range_d2(n));
  }

  TEST_CASE("run length is symmetric in the shift and two at the limit") {
    CHECK(shewhart_run_length(1.3) == doctest::Approx(shewhart_run_length(-1.3)));
    CHECK(shewhart_run_length(3) == doctest::Approx(2).epsilon(1e-6));
  }

  TEST_CASE("limits are the mean and three standard deviations") {
    // Piston rings (Montgomery): grand mean 74.001176, mean range 0.02276, groups of five; here two
    // groups with the same mean and mean range.
    const double a = 74.001176, r = 0.02276;
    const std::vector<double> values = {a - r / 2, a, a, a, a + r / 2,
                                        a - r / 2, a, a, a, a + r / 2};
    const auto limits = mean_chart(values, 5);
    REQUIRE(limits.ok());
    CHECK(limits->low == doctest::Approx(73.98804759).epsilon(1e-7));
    CHECK(limits->high == doctest::Approx(74.01430441).epsilon(1e-7));
    CHECK(limits->sigma == doctest::Approx(0.009785).epsilon(1e-4));
  }

  TEST_CASE("count limits do not fall below zero and widen with overdispersion") {
    CHECK(count_chart(std::vector<double>{1, 2, 0, 1})->low == 0);
    const double poisson = std::numeric_limits<double>::infinity();
    const auto plain = count_chart(150, poisson);
    const auto clumped = count_chart(150, 20);
    CHECK(plain->sigma == doctest::Approx(std::sqrt(150)));
    CHECK(clumped->sigma == doctest::Approx(std::sqrt(1275)));
    CHECK(clumped->inside(200));
    CHECK_FALSE(plain->inside(200));
  }

  TEST_CASE("broken groups and single values are refused") {
    const std::vector<double> values = {1, 2, 3, 4, 5};
    CHECK(mean_chart(values, 2).error().where == "values");
    CHECK(mean_chart(values, 1).error().where == "group_size");
    CHECK(individuals_chart(std::vector<double>{1}).error().where == "values");
    CHECK(individuals_chart(values, 0).error().where == "width");
    CHECK(count_chart(0, 3).error().where == "mean");
  }
}
