// SPDX-License-Identifier: Apache-2.0
#include "stats/stop_lines.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <vector>

using namespace nthtree::stats;

TEST_SUITE("stats") {
  TEST_CASE("on Green's line the relative standard error is what was asked for") {
    for (double a : {0.5, 2.5}) {
      for (double b : {1.1, 1.4, 1.8, 2.3}) {
        for (double n : {3.0, 10.0, 60.0}) {
          const double mean = *green_stop_line(a, b, 0.25, n) / n;
          CHECK(std::sqrt(a * std::pow(mean, b) / n) / mean == doctest::Approx(0.25));
          CHECK(*taylor_sample_size(a, b, mean, 0.25) == doctest::Approx(n));
        }
      }
    }
  }

  TEST_CASE("on Kuno's line too, and the negative binomial is a case of it") {
    for (double n : {10.0, 20.0, 100.0}) {
      const double mean = *kuno_stop_line(2, 1.05, 0.1, n) / n;
      CHECK(std::sqrt((3 * mean + 0.05 * mean * mean) / n) / mean == doctest::Approx(0.1));
      const double counts = *negative_binomial_stop_line(20, 0.1, n) / n;
      CHECK(*negative_binomial_sample_size(counts, 20, 0.1) == doctest::Approx(n));
    }
    CHECK(kuno_stop_line(2, 1.05, 0.1, 5).error().where == "n");
    CHECK(*negative_binomial_stop_line(std::numeric_limits<double>::infinity(), 0.1, 7) ==
          doctest::Approx(100));
  }

  TEST_CASE("Taylor's law comes back from variances that follow it") {
    const std::vector<double> means = {1, 4, 20, 90, 0};
    std::vector<double> variances;
    for (double m : means) variances.push_back(2.5 * std::pow(m, 1.4));
    const auto law = fit_taylor_law(means, variances);
    REQUIRE(law.ok());
    CHECK(law->a == doctest::Approx(2.5));
    CHECK(law->b == doctest::Approx(1.4));
    CHECK(fit_taylor_law(std::vector<double>{3, 3}, std::vector<double>{1, 2}).error().where ==
          "means");
  }

  TEST_CASE("Iwao's law comes back from variances that follow it") {
    const std::vector<double> means = {2, 9, 40, 150, 0};
    std::vector<double> variances;
    for (double m : means) variances.push_back(3 * m + 0.05 * m * m);
    const auto law = fit_iwao_law(means, variances);
    REQUIRE(law.ok());
    CHECK(law->alpha == doctest::Approx(2));
    CHECK(law->beta == doctest::Approx(1.05));
    CHECK(fit_iwao_law(std::vector<double>{3, 3}, std::vector<double>{1, 2}).error().where ==
          "means");
    CHECK(fit_iwao_law(means, std::vector<double>{1, 2}).error().where == "variances");
  }

  TEST_CASE("laws without a line are refused") {
    CHECK(green_stop_line(1, 2, 0.1, 5).error().where == "b");
    CHECK(green_stop_line(0, 1, 0.1, 5).error().where == "a");
    CHECK(green_stop_line(1, 1, 0, 5).error().where == "precision");
    CHECK(kuno_stop_line(-1, 1, 0.1, 5).error().where == "alpha");
    CHECK(negative_binomial_stop_line(0, 0.1, 5).error().where == "k");
  }
}
