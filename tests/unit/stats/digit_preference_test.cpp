// SPDX-License-Identifier: Apache-2.0
#include "stats/digit_preference.h"

#include <doctest/doctest.h>

#include <limits>

#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;
using nthtree::base::Random;

namespace {

std::vector<double> draw(Random& random, std::size_t n) {
  std::vector<double> counts(n);
  for (double& x : counts) x = static_cast<double>(random.negative_binomial(150, 16));
  return counts;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("honest counts are rarely accused, rounded ones are found") {
    Random random(80);
    int accused = 0, found = 0;
    for (int run = 0; run < 1000; ++run) {
      auto counts = draw(random, 25);
      accused += digit_preference(counts)->p_rounding < 0.01 ? 1 : 0;
      for (std::size_t i = 0; i < 15; ++i) counts[i] = 5 * std::round(counts[i] / 5);
      found += digit_preference(counts)->p_rounding < 0.01 ? 1 : 0;
    }
    CHECK(accused < 20);
    CHECK(found > 900);
  }

  TEST_CASE("digits are tallied and narrow counts are not judged") {
    const std::vector<double> counts = {100, 110, 120, 130, 145, 151};
    const auto digits = digit_preference(counts);
    CHECK(digits->digits[0] == 4);
    CHECK(digits->digits[5] == 1);
    CHECK(digits->digits[1] == 1);
    CHECK(digits->share_0_or_5 == doctest::Approx(5.0 / 6));
    CHECK(digits->p_rounding < 0.01);
    const std::vector<double> narrow = {100, 100, 105, 100, 105, 100};
    CHECK_FALSE(digit_preference(narrow)->spread_enough);
    CHECK(digit_preference(narrow)->p_rounding == 1);
  }

  TEST_CASE("the chance of rounded endings is the binomial tail at one in five") {
    // Five of ten end in 0 or 5: P(X >= 5) = 0.0327934976 for ten trials at 0.2.
    const std::vector<double> counts = {100, 115, 130, 145, 160, 91, 122, 143, 154, 186};
    CHECK(digit_preference(counts)->p_rounding == doctest::Approx(0.0327934976).epsilon(1e-8));
  }

  TEST_CASE("made-up numbers spread too little, and honest ones as they should") {
    Random random(81);
    int accused = 0, found = 0;
    for (int run = 0; run < 1000; ++run) {
      const auto honest = draw(random, 12);
      std::vector<double> made(12);
      for (double& x : made) x = std::round(150 + 8 * random.normal());
      accused += spread_test(honest, 39.5, 60)->p_too_little < 0.01 ? 1 : 0;
      found += spread_test(made, 39.5, 60)->p_too_little < 0.01 ? 1 : 0;
    }
    CHECK(accused < 20);
    CHECK(found > 990);
    const double exact = std::numeric_limits<double>::infinity();
    const auto test = spread_test(draw(random, 12), 39.5, exact);
    CHECK(test->p_too_little + test->p_too_much == doctest::Approx(1));
    CHECK(spread_test(std::vector<double>{5, 5, 5}, 3, 10)->p_too_little == 0);
  }

  TEST_CASE("copied counts match too often, honest second counts do not") {
    Random random(82);
    int accused = 0, found = 0;
    for (int run = 0; run < 1000; ++run) {
      const auto first = draw(random, 8);
      auto second = first;
      for (double& x : second) x = std::fmax(0, x + std::round(7 * random.normal()));
      accused += match_test(first, second, 7)->p_too_many < 0.01 ? 1 : 0;
      for (std::size_t i = 0; i < 5; ++i) second[i] = first[i];
      found += match_test(first, second, 7)->p_too_many < 0.01 ? 1 : 0;
    }
    CHECK(accused < 25);
    CHECK(found == 1000);
  }

  TEST_CASE("halves and short lists are refused by name") {
    CHECK(digit_preference(std::vector<double>{1, 2, 3, 4}).error().where == "counts");
    CHECK(digit_preference(std::vector<double>{1, 2, 3, 4, 5.5}).error().where == "counts");
    const std::vector<double> one = {1}, two = {1, 2};
    CHECK(match_test(one, two, 3).error().where == "b");
    CHECK(match_test(one, one, 0).error().where == "error_sd");
    CHECK(spread_test(two, 0, 3).error().where == "expected_sd");
  }

  TEST_CASE("the binomial tail and the spread test serve sums that are already worked out") {
    // 8 of 12 at one in five: 0.000581 by the binomial sum.
    CHECK(chance_of_so_many(8, 12, 0.2) == doctest::Approx(0.0005810).epsilon(1e-3));
    CHECK(chance_of_so_many(0, 12, 0.2) == 1);
    CHECK(chance_of_so_many(13, 12, 0.2) == 0);
    // The quicker question has the same answer everywhere.
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
    const std::vector<double> values = {200, 205, 198, 202, 207, 199, 203};
    const auto whole = spread_test(values, 20, 30);
    REQUIRE(whole);
    const auto sums = spread_test_of_variances(whole->sd * whole->sd, 6, 400, 30);
    REQUIRE(sums);
    CHECK(sums->p_too_little == doctest::Approx(whole->p_too_little));
    CHECK(sums->ratio == doctest::Approx(whole->ratio));
    CHECK(spread_test_of_variances(1, 0, 1, 5).error().where == "df");
    CHECK(spread_test_of_variances(1, 5, 0, 5).error().where == "expected_variance");
  }
}
