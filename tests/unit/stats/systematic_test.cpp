// SPDX-License-Identifier: Apache-2.0
#include "stats/systematic.h"

#include <doctest/doctest.h>

#include <limits>

#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;

TEST_SUITE("stats") {
  TEST_CASE("in shuffled order every stride does about as well as random sampling") {
    nthtree::base::Random random(40);
    std::vector<double> field(240);
    for (double& x : field) x = static_cast<double>(random.negative_binomial(150, 16));
    double ratio = 0;
    for (int run = 0; run < 200; ++run) {
      ratio += systematic_over_starts(shuffled(field, random), 12)->ratio / 200;
    }
    CHECK(ratio == doctest::Approx(1).epsilon(0.1));
  }

  TEST_CASE("a field that repeats with the stride is the worst case, one out of step the best") {
    std::vector<double> field;
    for (int i = 0; i < 120; ++i) field.push_back(100 + 50 * (i % 6));
    CHECK(systematic_over_starts(field, 6)->ratio > 10);
    CHECK(systematic_over_starts(field, 5)->ratio == doctest::Approx(0));
  }

  TEST_CASE("successive differences see a smooth trend as precise, random variance does not") {
    std::vector<double> line;
    for (int i = 0; i < 20; ++i) line.push_back(10.0 * i);
    const auto estimate = systematic_estimate(line);
    CHECK(estimate->variance_successive < 0.02 * estimate->variance_random);
  }

  TEST_CASE("without a trend both estimates agree on average") {
    nthtree::base::Random random(41);
    double successive = 0, plain = 0;
    for (int run = 0; run < 2000; ++run) {
      std::vector<double> sample(10);
      for (double& x : sample) x = random.normal();
      const auto estimate = systematic_estimate(sample);
      successive += estimate->variance_successive / 2000;
      plain += estimate->variance_random / 2000;
    }
    CHECK(successive == doctest::Approx(0.1).epsilon(0.05));
    CHECK(plain == doctest::Approx(0.1).epsilon(0.05));
  }

  TEST_CASE("the correction runs from one to zero") {
    CHECK(finite_population_correction(5, std::numeric_limits<double>::infinity()) == 1);
    CHECK(finite_population_correction(5, 10) == 0.5);
    CHECK(finite_population_correction(10, 10) == 0);
    CHECK(finite_population_correction(12, 10) == 0);
  }

  TEST_CASE("strides that come back to the same places of a row are told") {
    CHECK(stride_meets_row(100, 50));
    CHECK(stride_meets_row(50, 50));
    CHECK(stride_meets_row(25, 50));
    CHECK(stride_meets_row(10, 50));
    CHECK_FALSE(stride_meets_row(97, 50));
    CHECK_FALSE(stride_meets_row(1, 50));
    CHECK_FALSE(stride_meets_row(2, 27));
    CHECK(stride_meets_row(2, 28));
    CHECK(stride_meets_row(20, 50));  // half of it divides: 5 places only
    CHECK(places_visited(100, 50) == 1);
    CHECK(places_visited(25, 50) == 2);
    CHECK(places_visited(97, 50) == 50);
  }

  TEST_CASE("the longest stretch of a row that a sample never sees") {
    CHECK(longest_unseen_stretch(28, 28, 8) == 27);   // always the same place, at an end
    CHECK(longest_unseen_stretch(29, 28, 8) == 20);   // eight neighbours
    CHECK(longest_unseen_stretch(14, 28, 16) == 13);  // two places, half a row apart
    CHECK(longest_unseen_stretch(1, 28, 28) == 0);
    CHECK(longest_unseen_stretch(5, 28, 28) == 0);
    CHECK(longest_unseen_stretch(9, 28, 8) < 10);
    CHECK(longest_unseen_stretch(7, 28, 0) == 28);
    for (std::size_t n = 1; n < 40; ++n) {
      CHECK(longest_unseen_stretch(11, 28, n + 1) <= longest_unseen_stretch(11, 28, n));
    }
  }

  TEST_CASE("too large a stride and too small a population are refused") {
    const std::vector<double> field = {1, 2, 3, 4, 5, 6};
    CHECK(systematic_over_starts(field, 4).error().where == "stride");
    CHECK(systematic_over_starts(field, 1).error().where == "stride");
    CHECK(systematic_estimate(field, 5).error().where == "population");
    CHECK(systematic_over_starts(std::vector<double>(6, 3.0), 2)->ratio == 1);
  }
}
