// SPDX-License-Identifier: Apache-2.0
#include "stats/equivalence.h"

#include <doctest/doctest.h>

#include <limits>

#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;

TEST_SUITE("stats") {
  TEST_CASE("shown exactly when the 1 - 2 alpha interval lies inside the bounds") {
    nthtree::base::Random random(42);
    for (int run = 0; run < 400; ++run) {
      std::vector<double> values(3 + random.below(20));
      for (double& x : values) x = 180 + 30 * random.normal();
      const Interval bounds = {180 - 40 * random.uniform() - 1, 180 + 40 * random.uniform() + 1};
      const auto test = equivalence_one_sample(values, bounds, 0.05);
      REQUIRE(test.ok());
      CHECK(test->shown == bounds.holds(test->interval));
    }
  }

  TEST_CASE("wider bounds never make it harder to show") {
    nthtree::base::Random random(43);
    for (int run = 0; run < 100; ++run) {
      const std::size_t n = 3 + static_cast<std::size_t>(random.below(30));
      const SampleSummary sample{170 + 20 * random.uniform(), 30, n};
      double before = 1;
      for (double half : {10.0, 20.0, 30.0, 60.0}) {
        const auto test = equivalence_one_sample(sample, {180 - half, 180 + half});
        CHECK(test->p_value <= before + 1e-12);
        before = test->p_value;
      }
    }
  }

  TEST_CASE("at the bound it is falsely shown as rarely as alpha says") {
    nthtree::base::Random random(44);
    int shown = 0;
    for (int run = 0; run < 4000; ++run) {
      std::vector<double> values(12);
      for (double& x : values) x = 198 + 15 * random.normal();
      shown += equivalence_one_sample(values, {162, 198})->shown ? 1 : 0;
    }
    CHECK(shown > 4000 * 0.035);
    CHECK(shown < 4000 * 0.065);
  }

  TEST_CASE("the order of two samples turns the bounds around and changes nothing else") {
    const std::vector<double> a = {10, 12, 9, 14}, b = {11, 13, 12, 15, 10};
    const auto ab = equivalence_two_samples(a, b, {-3, 5});
    const auto ba = equivalence_two_samples(b, a, {-5, 3});
    CHECK(ab->p_value == doctest::Approx(ba->p_value));
    CHECK(ab->estimate == doctest::Approx(-ba->estimate));
  }

  TEST_CASE("without scatter the side decides, without NaN") {
    const std::vector<double> same = {180, 180, 180};
    CHECK(equivalence_one_sample(same, {162, 198})->shown);
    const auto outside = equivalence_one_sample(same, {162, 170});
    CHECK_FALSE(outside->shown);
    CHECK(outside->p_value == 1);
    const auto on_edge = equivalence_one_sample(same, {162, 180});
    CHECK_FALSE(on_edge->shown);
    CHECK(equivalence_two_samples(same, same, {-1, 1})->shown);
  }

  TEST_CASE("counting out a population ends the doubt") {
    const SampleSummary sample{180, 30, 10};
    CHECK(equivalence_one_sample(sample, {179, 181}, 0.05, 10)->shown);
    CHECK_FALSE(equivalence_one_sample(sample, {179, 181}, 0.05, 20)->shown);
    CHECK(equivalence_one_sample(sample, {179, 181}, 0.05, 9).error().where == "population");
  }

  TEST_CASE("wrong arguments are refused by name") {
    const SampleSummary sample{180, 30, 10};
    CHECK(equivalence_one_sample(sample, {198, 162}).error().where == "bounds.low");
    CHECK(equivalence_one_sample(sample, {162, 198}, 0.5).error().where == "alpha");
    CHECK(equivalence_one_sample(SampleSummary{1, 1, 1}, {0, 2}).error().where == "sample");
    CHECK(equivalence_from_estimate(1, -1, 3, {0, 2}).error().where == "standard_error");
    CHECK(equivalence_paired(sample, sample, 1.5, {-1, 1}).error().where == "correlation");
    const std::vector<double> two = {1, 2}, three = {1, 2, 3};
    CHECK(equivalence_paired(two, three, {-1, 1}).error().where == "b");
    CHECK(equivalence_from_estimate(0, 1, std::numeric_limits<double>::infinity(), {-2, 2})
              ->p_value == doctest::Approx(0.0227501319));
  }
}
