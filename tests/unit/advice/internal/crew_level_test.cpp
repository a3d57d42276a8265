// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/crew_level.h"

#include <doctest/doctest.h>

#include <cmath>

using namespace nthtree::advice;

TEST_SUITE("advice") {
  TEST_CASE("nobody known gives the prior") {
    const CrewLevel crew = crew_level({}, 0);
    CHECK(crew.mean == doctest::Approx(0.10));
    CHECK(crew.between == doctest::Approx(0.04));
    CHECK(crew_level({{0.5, 1e9}}, 1).mean == doctest::Approx(0.10));
  }

  TEST_CASE("many well-known levels give their mean and spread") {
    std::vector<KnownLevel> levels;
    for (int i = 0; i < 40; ++i) levels.push_back({i % 2 ? 0.4 : 0.2, 1e-4});
    const CrewLevel crew = crew_level(levels, levels.size());
    CHECK(crew.mean == doctest::Approx(0.3).epsilon(0.02));
    CHECK(std::sqrt(crew.between) == doctest::Approx(0.1).epsilon(0.15));
    CHECK(crew.mean_variance < 0.001);
  }

  TEST_CASE("a level left out does not count") {
    const std::vector<KnownLevel> levels = {{0.1, 0.01}, {0.12, 0.01}, {2.0, 0.001}};
    CHECK(crew_level(levels, 2).mean < 0.15);
    CHECK(crew_level(levels, 3).mean > 0.3);
  }
}
