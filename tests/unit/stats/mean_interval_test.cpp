// SPDX-License-Identifier: Apache-2.0
#include "stats/mean_interval.h"

#include <doctest/doctest.h>

#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;

namespace {
const MeanMethod mean_methods[] = {MeanMethod::student_t,  MeanMethod::johnson_t,
                                  MeanMethod::hall_cubic, MeanMethod::log_cox,
                                  MeanMethod::gamma_profile, MeanMethod::skewed};
}

TEST_SUITE("stats") {
  TEST_CASE("order does not matter, and a change of unit scales the interval") {
    nthtree::base::Random random(30);
    for (const auto& sample : count_samples(60)) {
      auto scaled = shuffled(sample, random);
      for (double& x : scaled) x *= 0.3;
      for (auto method : mean_methods) {
        const auto a = mean_interval(sample, method);
        const auto b = mean_interval(scaled, method);
        REQUIRE(a.ok() == b.ok());
        if (!a) continue;
        CHECK(b->interval.low == doctest::Approx(0.3 * a->interval.low).epsilon(1e-7));
        CHECK(b->interval.high == doctest::Approx(0.3 * a->interval.high).epsilon(1e-7));
      }
    }
  }

  TEST_CASE("intervals are ordered and grow with confidence") {
    for (const auto& sample : count_samples(80)) {
      for (auto method : mean_methods) {
        const auto narrow = mean_interval(sample, method, 0.8);
        const auto wide = mean_interval(sample, method, 0.95);
        if (!narrow) continue;
        CHECK(ordered(narrow->interval));
        CHECK(wide->interval.low <= narrow->interval.low + 1e-9);
        CHECK(wide->interval.high >= narrow->interval.high - 1e-9);
      }
    }
  }

  TEST_CASE("for counts the recommended interval leans to the high side and stays above zero") {
    nthtree::base::Random random(31);
    int leaning = 0;
    for (int run = 0; run < 100; ++run) {
      std::vector<double> counts(8);
      for (double& x : counts) x = 1 + static_cast<double>(random.negative_binomial(150, 8));
      const auto interval = mean_interval(counts, MeanMethod::skewed);
      REQUIRE(interval.ok());
      CHECK(interval->interval.low > 0);
      leaning += interval->interval.high - interval->mean > interval->mean - interval->interval.low
                     ? 1 : 0;
    }
    CHECK(leaning > 95);
  }

  TEST_CASE("one value near zero among many does not blow the recommended interval up") {
    const std::vector<double> counts = {150, 160, 1, 170, 140, 155, 165, 148};
    const auto plain = mean_interval(counts);
    const auto skewed = mean_interval(counts, MeanMethod::skewed);
    CHECK(skewed->interval.width() < 2 * plain->interval.width());
  }

  TEST_CASE("zeros are refused by the logarithmic methods and taken by the recommended one") {
    const std::vector<double> counts = {0, 3, 1, 0, 7, 2};
    CHECK(mean_interval(counts, MeanMethod::gamma_profile).error().where == "values");
    CHECK(mean_interval(counts, MeanMethod::log_cox).error().id == "out_of_range");
    CHECK(mean_interval(counts, MeanMethod::skewed).ok());
  }

  TEST_CASE("a counted-out population leaves no doubt; half of it leaves less") {
    const std::vector<double> counts = {120, 150, 180, 210, 95, 170};
    for (auto method : mean_methods) {
      const auto infinite = mean_interval(counts, method);
      const auto half = mean_interval(counts, method, 0.95, 12);
      const auto all = mean_interval(counts, method, 0.95, 6);
      CHECK(half->interval.width() ==
            doctest::Approx(infinite->interval.width() * std::sqrt(0.5)));
      CHECK(all->interval.width() == doctest::Approx(0));
      CHECK(all->standard_error == 0);
    }
    CHECK(mean_interval(counts, MeanMethod::student_t, 0.95, 5).error().where == "population");
  }

  TEST_CASE("equal values give an interval without width by every method") {
    const std::vector<double> same = {42, 42, 42};
    for (auto method : mean_methods) {
      const auto interval = mean_interval(same, method);
      REQUIRE(interval.ok());
      CHECK(interval->interval == Interval{42, 42});
    }
  }

  TEST_CASE("from a summary the t interval is the same as from the values") {
    const std::vector<double> counts = {120, 150, 180, 210, 95, 170};
    const auto a = mean_interval(counts);
    const auto b = mean_interval_from_summary(a->mean, a->standard_error * std::sqrt(6.0), 6);
    CHECK(b->low == doctest::Approx(a->interval.low));
    CHECK(mean_interval_from_summary(1, 1, 1).error().where == "n");
  }
}
