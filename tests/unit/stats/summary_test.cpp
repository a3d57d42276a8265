// SPDX-License-Identifier: Apache-2.0
#include "stats/summary.h"

#include <doctest/doctest.h>

#include <limits>

#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;

TEST_SUITE("stats") {
  TEST_CASE("mean, spread and skewness do not depend on the order, autocorrelation does") {
    nthtree::base::Random random(5);
    for (const auto& sample : count_samples(60)) {
      const auto a = summarize(sample);
      const auto b = summarize(shuffled(sample, random));
      CHECK(a->mean == doctest::Approx(b->mean).epsilon(1e-14));
      CHECK(a->sd == doctest::Approx(b->sd).epsilon(1e-12));
      CHECK(a->skewness == doctest::Approx(b->skewness).epsilon(1e-9));
    }
    const std::vector<double> up = {1, 2, 3, 4, 5, 6}, wave = {1, 6, 2, 5, 3, 4};
    CHECK(summarize(up)->lag1_autocorrelation > 0.4);
    CHECK(summarize(wave)->lag1_autocorrelation < -0.4);
  }

  TEST_CASE("a change of unit scales mean and sd and leaves cv, skewness, autocorrelation") {
    for (auto sample : count_samples(60)) {
      const auto a = summarize(sample);
      for (double& x : sample) x *= 0.45359237;
      const auto b = summarize(sample);
      CHECK(b->mean == doctest::Approx(0.45359237 * a->mean));
      CHECK(b->sd == doctest::Approx(0.45359237 * a->sd));
      CHECK(b->cv == doctest::Approx(a->cv));
      CHECK(b->skewness == doctest::Approx(a->skewness));
      CHECK(b->lag1_autocorrelation == doctest::Approx(a->lag1_autocorrelation));
    }
  }

  TEST_CASE("one value and equal values have no spread and nothing is NaN") {
    for (const auto& values : {std::vector<double>{7}, {0.1, 0.1, 0.1}, {0, 0}}) {
      const auto summary = summarize(values);
      REQUIRE(summary.ok());
      CHECK(summary->sd == 0);
      CHECK(summary->cv == 0);
      CHECK(summary->skewness == 0);
      CHECK(summary->lag1_autocorrelation == 0);
    }
  }

  TEST_CASE("no values, NaN and infinity are refused by name") {
    CHECK(summarize({}).error().id == "too_few_values");
    const std::vector<double> bad = {1, std::numeric_limits<double>::infinity()};
    CHECK(summarize(bad).error().text() ==
          "values: values[1] is not a finite number. (not_finite)");
  }

  TEST_CASE("a running summary equals the summary of all") {
    for (const auto& sample : count_samples(60)) {
      const auto whole = summarize(sample);
      RunningSummary running;
      for (double value : sample) running.add(value);
      CHECK(running.n() == sample.size());
      CHECK(running.mean() == doctest::Approx(whole->mean));
      CHECK(running.sd() == doctest::Approx(whole->sd));
    }
  }

  TEST_CASE("a sum keeps what plain addition loses") {
    const std::vector<double> values = {1e16, 1, -1e16, 1};
    CHECK(exact_sum(values) == 2);
  }
}
