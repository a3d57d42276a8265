// SPDX-License-Identifier: Apache-2.0
#include "advice/known/exercise.h"

#include <doctest/doctest.h>

#include <cmath>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

namespace {

// AIAG Measurement Systems Analysis manual, gauge study: 3 people, 10 parts, 3 trials (data from
// memory, confirmed by the published sums of squares). Counts are whole, so every value stands
// here as 100 × (value + 2): standard deviations come out a hundred times larger.
const double study[3][3][10] = {
    {{0.29, -0.56, 1.34, 0.47, -0.80, 0.02, 0.59, -0.31, 2.26, -1.36},
     {0.41, -0.68, 1.17, 0.50, -0.92, -0.11, 0.75, -0.20, 1.99, -1.25},
     {0.64, -0.58, 1.27, 0.64, -0.84, -0.21, 0.66, -0.17, 2.01, -1.31}},
    {{0.08, -0.47, 1.19, 0.01, -0.56, -0.20, 0.47, -0.63, 1.80, -1.68},
     {0.25, -1.22, 0.94, 1.03, -1.20, 0.22, 0.55, 0.08, 2.12, -1.62},
     {0.07, -0.68, 1.34, 0.20, -1.28, 0.06, 0.83, -0.34, 2.19, -1.50}},
    {{0.04, -1.38, 0.88, 0.14, -1.46, -0.29, 0.02, -0.46, 1.77, -1.49},
     {-0.11, -1.13, 1.09, 0.20, -1.07, -0.67, 0.01, -0.56, 1.45, -1.77},
     {-0.15, -0.96, 0.67, 0.11, -1.45, -0.49, 0.21, -0.49, 1.87, -2.16}}};

void count(SeasonBuilder& farm, const std::string& person, int tree, int round, int spurs) {
  farm.add(nthtree::ledger::ExerciseCount{"e1", "b1", {1, tree}, round, spurs}, person);
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("a counting exercise comes out as the published gauge study") {
    SeasonBuilder farm;
    for (int p = 0; p < 3; ++p) {
      for (int r = 0; r < 3; ++r) {
        for (int t = 0; t < 10; ++t) {
          // Two values lie below -2: 300 is added to keep counts positive.
          count(farm, "p" + std::to_string(p), t + 1, r + 1,
                static_cast<int>(std::lround(100 * study[p][r][t])) + 300);
        }
      }
    }
    const Exercise result = exercise(farm.season, "e1");
    REQUIRE(result.complete);
    CHECK(result.people == 3);
    CHECK(result.trees == 10);
    CHECK(result.rounds == 3);
    CHECK(result.left_out == 0);
    CHECK(result.interaction_pooled);
    CHECK(result.f_interaction == doctest::Approx(0.4337).epsilon(1e-3));
    CHECK(result.p_interaction == doctest::Approx(0.974).epsilon(1e-3));
    CHECK(result.repeatability_sd == doctest::Approx(19.99332).epsilon(1e-5));
    CHECK(result.reproducibility_sd == doctest::Approx(22.68375).epsilon(1e-5));
    CHECK(result.tree_sd == doctest::Approx(104.23275).epsilon(1e-5));
    CHECK(result.gauge_share == doctest::Approx(0.278607).epsilon(1e-4));
    // ISO 5725-6: the limits are 2.8 times the standard deviations (2.77 before rounding).
    CHECK(result.same_person_limit == doctest::Approx(2.7718 * 19.99332).epsilon(1e-4));
    CHECK(result.two_people_limit ==
          doctest::Approx(2.7718 * std::hypot(19.99332, 22.68375)).epsilon(1e-4));
  }

  TEST_CASE("what is not complete is left out and told") {
    SeasonBuilder farm;
    for (int person = 1; person <= 3; ++person) {
      for (int tree = 1; tree <= 4; ++tree) {
        for (int round = 1; round <= 2; ++round) {
          if (person == 3 && tree > 1) continue;  // went home early
          count(farm, "p" + std::to_string(person), tree, round, 100 + 10 * tree + person + round);
        }
      }
    }
    const Exercise result = exercise(farm.season, "e1");
    CHECK(result.complete);
    CHECK(result.people == 2);
    CHECK(result.trees == 4);
    CHECK(result.left_out == 2);
  }

  TEST_CASE("one person, or one round, is no study") {
    SeasonBuilder farm;
    CHECK_FALSE(exercise(farm.season, "e1").complete);
    count(farm, "p1", 1, 1, 100);
    count(farm, "p2", 1, 1, 110);
    const Exercise result = exercise(farm.season, "e1");
    CHECK_FALSE(result.complete);
    CHECK(result.left_out == 2);
  }
}
