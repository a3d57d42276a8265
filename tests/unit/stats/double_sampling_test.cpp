// SPDX-License-Identifier: Apache-2.0
#include "stats/double_sampling.h"

#include <doctest/doctest.h>

#include "stats/ratio_estimator.h"
#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;
using nthtree::base::Random;

TEST_SUITE("stats") {
  TEST_CASE("a first phase without end is the estimator with a known mean") {
    const std::vector<double> y = {15, 14, 9, 14, 8, 5, 18}, x = {10, 12, 7, 13, 13, 6, 17};
    const auto two = two_phase_regression(y, x, FirstPhase{100'000'000, 11.3});
    const auto one = regression_estimate(y, x, 11.3);
    CHECK(two->mean == doctest::Approx(one->mean));
    CHECK(two->standard_error == doctest::Approx(one->standard_error).epsilon(1e-4));
    const auto ratio = two_phase_ratio(y, x, FirstPhase{100'000'000, 11.3});
    CHECK(ratio->standard_error ==
          doctest::Approx(ratio_estimate(y, x, 11.3)->standard_error).epsilon(1e-4));
  }

  TEST_CASE("a first phase no larger than the second adds nothing") {
    const std::vector<double> y = {15, 14, 9, 14, 8, 5, 18}, x = {10, 12, 7, 13, 13, 6, 17};
    const auto mean = two_phase_ratio(y, x, x);
    CHECK(mean->mean == doctest::Approx(83.0 / 7));
    CHECK(mean->gain == doctest::Approx(1));
  }

  TEST_CASE("intervals cover near what they say when few of many are measured twice") {
    Random random(64);
    int ratio_covers = 0, regression_covers = 0;
    double gain = 0;
    for (int run = 0; run < 2000; ++run) {
      std::vector<double> first, y;
      for (int i = 0; i < 60; ++i) {
        const double truth = static_cast<double>(random.negative_binomial(160, 16));
        first.push_back(std::round(0.9 * truth * std::exp(0.05 * random.normal())));
        if (i < 12) y.push_back(truth);
      }
      const std::vector<double> x(first.begin(), first.begin() + 12);
      const auto a = two_phase_ratio(y, x, first);
      const auto b = two_phase_regression(y, x, first);
      ratio_covers += a->interval.holds(160) ? 1 : 0;
      regression_covers += b->interval.holds(160) ? 1 : 0;
      gain += b->gain / 2000;
    }
    CHECK(ratio_covers > 1840);
    CHECK(ratio_covers < 1960);
    CHECK(regression_covers > 1840);
    CHECK(regression_covers < 1960);
    CHECK(gain > 2.5);
  }

  TEST_CASE("two phases pay sooner the better the cheap measure follows the dear one") {
    double before = 1e9;
    for (double rho : {0.3, 0.5, 0.8, 0.95, 1.0}) {
      CHECK(*two_phase_cost_threshold(rho) < before);
      CHECK(*two_phase_cost_threshold(-rho) == *two_phase_cost_threshold(rho));
      before = *two_phase_cost_threshold(rho);
    }
    CHECK(two_phase_cost_threshold(0).error().where == "correlation");
  }

  TEST_CASE("wrong phases are refused by name") {
    const std::vector<double> y = {1, 2, 3}, x = {1, 2, 4};
    CHECK(two_phase_ratio(y, x, FirstPhase{2, 2}).error().where == "first.n");
    CHECK(two_phase_ratio(y, x, FirstPhase{9, 2}, 0.95, 8).error().where == "population");
    CHECK(two_phase_regression(y, std::vector<double>{2, 2, 2}, FirstPhase{9, 2})
              .error().where == "x");
  }
}
