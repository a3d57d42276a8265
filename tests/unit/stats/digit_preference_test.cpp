// SPDX-License-Identifier: Apache-2.0
#include "stats/digit_preference.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <vector>

#include "stats/summary.h"
#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;
using nthtree::base::Random;

TEST_SUITE("stats") {
  TEST_CASE("made-up numbers spread too little, and honest ones as they should") {
    Random random(81);
    const auto p_too_little = [](const std::vector<double>& counts) {
      return spread_test_of_variances(summarize(counts)->variance, 11, 39.5 * 39.5, 60)
          ->p_too_little;
    };
    int accused = 0, found = 0;
    for (int run = 0; run < 1000; ++run) {
      std::vector<double> honest(12), made(12);
      for (double& x : honest) x = static_cast<double>(random.negative_binomial(150, 16));
      for (double& x : made) x = std::round(150 + 8 * random.normal());
      accused += p_too_little(honest) < 0.01 ? 1 : 0;
      found += p_too_little(made) < 0.01 ? 1 : 0;
    }
    CHECK(accused < 20);
    CHECK(found > 990);
    const double exact = std::numeric_limits<double>::infinity();
    const auto test = spread_test_of_variances(900, 11, 1560, exact);
    CHECK(test->p_too_little + test->p_too_much == doctest::Approx(1));
    CHECK(spread_test_of_variances(0, 2, 9, 10)->p_too_little == 0);
  }

  TEST_CASE("the chance of rounded endings is the binomial tail at one in five") {
    // P(X >= 5) = 0.0327934976 for ten trials at 0.2.
    CHECK(chance_of_so_many(5, 10, round_ending_chance) ==
          doctest::Approx(0.0327934976).epsilon(1e-8));
  }

  TEST_CASE("the quicker question has the answer of the whole binomial tail") {
    // 8 of 12 at one in five: 0.000581 by the binomial sum.
    CHECK(chance_of_so_many(8, 12, 0.2) == doctest::Approx(0.0005810).epsilon(1e-3));
    CHECK(chance_of_so_many(0, 12, 0.2) == 1);
    CHECK(chance_of_so_many(13, 12, 0.2) == 0);
    for (std::size_t n : {0u, 1u, 12u, 80u, 5000u}) {
      for (std::size_t hits = 0; hits <= n + 1; hits += n > 100 ? 37 : 1) {
        for (double p : {0.0, 0.02, 0.2, 0.9, 1.0}) {
          for (double level : {1e-3, 0.05}) {
            CHECK(so_many_is_rarer_than(level, hits, n, p) ==
                  (chance_of_so_many(hits, n, p) < level));
          }
        }
      }
    }
    CHECK(spread_test_of_variances(1, 0, 1, 5).error().where == "df");
    CHECK(spread_test_of_variances(1, 5, 0, 5).error().where == "expected_variance");
  }
}
