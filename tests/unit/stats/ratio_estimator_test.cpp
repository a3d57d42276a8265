// SPDX-License-Identifier: Apache-2.0
#include "stats/ratio_estimator.h"

#include <doctest/doctest.h>

#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;
using nthtree::base::Random;

namespace {

struct Drawn {
  std::vector<double> y, x;
};

Drawn draw(Random& random, std::size_t n) {
  Drawn drawn;
  for (std::size_t i = 0; i < n; ++i) {
    const double x = 50 + static_cast<double>(random.negative_binomial(90, 10));
    drawn.x.push_back(x);
    drawn.y.push_back(1.1 * x + 8 * random.normal());
  }
  return drawn;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("exact proportion and exact line leave no error") {
    const std::vector<double> x = {10, 14, 9, 20}, twice = {20, 28, 18, 40};
    const auto ratio = ratio_estimate(twice, x, 13);
    CHECK(ratio->mean == doctest::Approx(26));
    CHECK(ratio->standard_error == doctest::Approx(0));
    std::vector<double> line;
    for (double v : x) line.push_back(5 + 3 * v);
    const auto regression = regression_estimate(line, x, 13);
    CHECK(regression->mean == doctest::Approx(44));
    CHECK(regression->intercept == doctest::Approx(5));
    CHECK(regression->standard_error == doctest::Approx(0).epsilon(1e-6));
  }

  TEST_CASE("when the companion says nothing new the mean of y is given back") {
    Random random(60);
    const Drawn d = draw(random, 12);
    double x_mean = 0, y_mean = 0;
    for (std::size_t i = 0; i < 12; ++i) {
      x_mean += d.x[i] / 12;
      y_mean += d.y[i] / 12;
    }
    CHECK(ratio_estimate(d.y, d.x, x_mean)->mean == doctest::Approx(y_mean));
    CHECK(regression_estimate(d.y, d.x, x_mean)->mean == doctest::Approx(y_mean));
  }

  TEST_CASE("regression has the smallest residuals, a counted population no error") {
    Random random(61);
    for (int run = 0; run < 50; ++run) {
      const Drawn d = draw(random, 5 + random.below(20));
      const EstimatorOptions options{.divisor = ResidualDivisor::n_minus_1};
      const double least = regression_estimate(d.y, d.x, 140, options)->residual_variance;
      CHECK(least <= ratio_estimate(d.y, d.x, 140)->residual_variance + 1e-9);
      const EstimatorOptions all{.population = static_cast<double>(d.y.size())};
      CHECK(ratio_estimate(d.y, d.x, 140, all)->standard_error == 0);
    }
  }

  TEST_CASE("units of x cancel, units of y scale") {
    Random random(62);
    Drawn d = draw(random, 9);
    const auto a = regression_estimate(d.y, d.x, 140);
    const auto c = ratio_estimate(d.y, d.x, 140);
    for (double& v : d.x) v *= 10;
    for (double& v : d.y) v *= 0.5;
    CHECK(regression_estimate(d.y, d.x, 1400)->mean == doctest::Approx(0.5 * a->mean));
    CHECK(ratio_estimate(d.y, d.x, 1400)->standard_error ==
          doctest::Approx(0.5 * c->standard_error));
  }

  TEST_CASE("the ratio's interval covers near what it says") {
    Random random(63);
    int covered = 0;
    for (int run = 0; run < 2000; ++run) {
      const Drawn d = draw(random, 10);
      covered += ratio_estimate(d.y, d.x, 140)->interval.holds(1.1 * 140) ? 1 : 0;
    }
    CHECK(covered > 1860);
    CHECK(covered < 1940);
  }

  TEST_CASE("unlike lengths, constant x and too few pairs are refused") {
    const std::vector<double> two = {1, 2}, three = {1, 2, 3}, flat = {4, 4, 4};
    CHECK(ratio_estimate(two, three, 1).error().where == "x");
    CHECK(regression_estimate(three, flat, 1).error().where == "x");
    CHECK(regression_estimate(two, two, 1).error().where == "y");
    CHECK(ratio_estimate(three, std::vector<double>{-1, 0, 1}, 1).error().where == "x");
    CHECK(ratio_estimate(three, three, 2, {.population = 2}).error().where == "population");
  }
}
