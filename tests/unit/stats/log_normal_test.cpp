// SPDX-License-Identifier: Apache-2.0
#include "stats/log_normal.h"

#include <doctest/doctest.h>

#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;

TEST_SUITE("stats") {
  TEST_CASE("a change of unit scales mean, median and interval and leaves the cv") {
    for (auto sample : count_samples(60)) {
      for (double& x : sample) x += 1;
      const auto a = fit_log_normal(sample);
      for (double& x : sample) x *= 2.5;
      const auto b = fit_log_normal(sample);
      REQUIRE(a.ok());
      CHECK(b->mean == doctest::Approx(2.5 * a->mean));
      CHECK(b->median == doctest::Approx(2.5 * a->median));
      CHECK(b->cv == doctest::Approx(a->cv));
      CHECK(b->mean_interval.high == doctest::Approx(2.5 * a->mean_interval.high));
    }
  }

  TEST_CASE("mean and cv of drawn values come out") {
    nthtree::base::Random random(35);
    std::vector<double> values(20000);
    for (double& x : values) x = std::exp(5 + 0.3 * random.normal());
    const auto fit = fit_log_normal(values);
    CHECK(fit->mean == doctest::Approx(std::exp(5 + 0.045)).epsilon(0.01));
    CHECK(fit->cv == doctest::Approx(std::sqrt(std::expm1(0.09))).epsilon(0.02));
    // The mean of ln density at the maximum: -μ - ln σ - (1 + ln 2π)/2.
    CHECK(fit->log_likelihood / 20000 ==
          doctest::Approx(-5 - std::log(0.3) - (1 + std::log(2 * 3.14159265358979)) / 2)
              .epsilon(0.01));
  }

  TEST_CASE("two values at e^±s have the textbook mean and cv") {
    const double s = 0.8;
    const auto fit = fit_log_normal(std::vector<double>{std::exp(-s), std::exp(s)});
    CHECK(fit->log_sd == doctest::Approx(s * std::sqrt(2.0)));
    CHECK(fit->median == doctest::Approx(1));
    CHECK(fit->mean == doctest::Approx(std::exp(s * s)));
    CHECK(fit->cv == doctest::Approx(std::sqrt(std::expm1(2 * s * s))));
  }

  TEST_CASE("goodness of fit: log-normal values fit about as often as they should, others not") {
    nthtree::base::Random random(36);
    int refused = 0, refused_flat = 0;
    const int runs = 400;
    for (int run = 0; run < runs; ++run) {
      std::vector<double> values(60), flat(60);
      for (double& x : values) x = std::exp(5 + 0.3 * random.normal());
      for (std::size_t i = 0; i < 60; ++i) flat[i] = i % 2 ? 100 + random.uniform() : 300;
      const auto good = goodness_of_fit(values, *fit_log_normal(values));
      REQUIRE(good.ok());
      CHECK(good->df == 9);
      refused += good->p_value < 0.05;
      refused_flat += goodness_of_fit(flat, *fit_log_normal(flat))->p_value < 0.05;
    }
    // Fitted from ungrouped values, the test refuses a little more than 5 in 100.
    CHECK(refused > 0.02 * runs);
    CHECK(refused < 0.11 * runs);
    CHECK(refused_flat == runs);
  }

  TEST_CASE("goodness of fit: classes narrower than one number refused four true samples in five") {
    nthtree::base::Random random(37);
    int refused = 0;
    const int runs = 300;
    for (int run = 0; run < runs; ++run) {
      std::vector<double> counts(300);  // sixty classes of equal chance within some fifty numbers
      for (double& x : counts) x = std::round(std::exp(4 + 0.15 * random.normal()));
      refused += goodness_of_fit(counts, *fit_log_normal(counts))->p_value < 0.05;
    }
    CHECK(refused < 0.11 * runs);
    CHECK(refused > 0.01 * runs);
  }

  TEST_CASE("with under twenty values the fit cannot be told") {
    const std::vector<double> few = {120, 150, 180, 200, 95, 160, 170};
    const auto good = goodness_of_fit(few, *fit_log_normal(few));
    REQUIRE(good.ok());
    CHECK(good->df == 0);
    CHECK(good->p_value == 1);
  }

  TEST_CASE("zeros and wild spreads are refused, equal values are not") {
    CHECK(fit_log_normal(std::vector<double>{0, 1}).error().where == "values");
    CHECK(fit_log_normal(std::vector<double>{1e-300, 1e300}).error().where == "values");
    const auto same = fit_log_normal(std::vector<double>{5, 5});
    REQUIRE(same.ok());
    CHECK(same->cv == 0);
    CHECK(same->log_likelihood == 0);
  }
}
