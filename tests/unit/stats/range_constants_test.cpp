// SPDX-License-Identifier: Apache-2.0
#include "stats/range_constants.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace nthtree::stats;

TEST_SUITE("stats") {
  TEST_CASE("range constants have their closed forms for two values") {
    CHECK(range_d2(2) == doctest::Approx(2 / std::sqrt(std::numbers::pi)).epsilon(1e-10));
    CHECK(range_d3(2) == doctest::Approx(std::sqrt(2 - 4 / std::numbers::pi)).epsilon(1e-8));
    CHECK(range_d2(3) == doctest::Approx(3 / std::sqrt(std::numbers::pi)).epsilon(1e-10));
    for (std::size_t n = 2; n < 30; ++n) CHECK(range_d2(n + 1) > range_d2(n));
  }
}
