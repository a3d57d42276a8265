// SPDX-License-Identifier: Apache-2.0
#include "stats/systematic.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>
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

  TEST_CASE("strides that come back to few places of a row are told, whatever their size") {
    for (std::size_t stride : {100, 50, 25, 10, 20, 30, 2}) {
      CHECK_MESSAGE(visits_few_places(stride, 50, 50), stride);
    }
    for (std::size_t stride : {97, 49, 51, 3, 1}) {
      CHECK_FALSE_MESSAGE(visits_few_places(stride, 50, 50), stride);
    }
    CHECK_FALSE(visits_few_places(2, 27, 27));
    CHECK(visits_few_places(2, 28, 28));
    // Fewer than two thirds of the places that so many units could stand at, no more and no less.
    CHECK_FALSE(visits_few_places(20, 50, 7));  // 5 places: enough for 7 units …
    CHECK(visits_few_places(20, 50, 8));        // … not for 8
    CHECK_FALSE(visits_few_places(30, 90, 4));  // 3 of 4
    CHECK(visits_few_places(30, 90, 5));
    CHECK_FALSE(visits_few_places(7, 1, 100));  // rows of one tree
    // Over two rows and more, whatever divides the row or is a multiple of it is told.
    for (std::size_t row = 2; row <= 60; ++row) {
      for (std::size_t stride = 2; stride <= 120; ++stride) {
        if (row % stride != 0 && stride % row != 0) continue;
        const std::size_t rows = 2 * std::max<std::size_t>(1, stride / row);
        CHECK(visits_few_places(stride, row, rows * row / stride));
      }
    }
  }

  TEST_CASE("places of a row that a stride visits are those that walking the rows finds") {
    for (std::size_t row = 1; row <= 24; ++row) {
      for (std::size_t stride = 1; stride <= 50; ++stride) {
        std::set<std::size_t> places;
        for (std::size_t i = 0; i < row * stride; i += stride) places.insert(i % row);
        CHECK(places_visited(stride, row) == places.size());
      }
    }
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
    for (std::size_t row : {1, 2, 7, 12, 28}) {  // as looking at every start finds it
      for (std::size_t stride = 1; stride <= 60; ++stride) {
        for (std::size_t n : {1, 2, 5, 9, 40}) {
          std::size_t widest = 0;
          for (std::size_t start = 0; start < std::min(stride, row); ++start) {
            std::set<std::size_t> places;
            for (std::size_t i = 0; i < n; ++i) places.insert((start + i * stride) % row);
            std::size_t from = 0;
            for (std::size_t place : places) {
              widest = std::max(widest, place - from);
              from = place + 1;
            }
            widest = std::max(widest, row - from);
          }
          CHECK(longest_unseen_stretch(stride, row, n) == widest);
        }
      }
    }
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
