// SPDX-License-Identifier: Apache-2.0
#include "stats/quantiles.h"

#include <doctest/doctest.h>

#include <cmath>

#include "base/random.h"
#include "stats/interval.h"

using namespace nthtree::stats;
using nthtree::base::Random;

TEST_SUITE("stats") {
  TEST_CASE("each quantile is the inverse of its distribution function") {
    Random random(3);
    for (int i = 0; i < 200; ++i) {
      const double p = 0.001 + 0.998 * random.uniform();
      const double df = 1 + 50 * random.uniform();
      const double b = 0.5 + 20 * random.uniform();
      CHECK(normal_cdf(normal_quantile(p)) == doctest::Approx(p).epsilon(1e-12));
      CHECK(t_cdf(t_quantile(p, df), df) == doctest::Approx(p).epsilon(1e-11));
      CHECK(chi_squared_cdf(chi_squared_quantile(p, df), df) ==
            doctest::Approx(p).epsilon(1e-11));
      CHECK(f_cdf(f_quantile(p, df, b), df, b) == doctest::Approx(p).epsilon(1e-10));
      CHECK(beta_cdf(beta_quantile(p, df, b), df, b) == doctest::Approx(p).epsilon(1e-10));
    }
  }

  TEST_CASE("ends of the support are met, not missed") {
    CHECK(normal_quantile(0) == -infinity);
    CHECK(t_quantile(1, 5) == infinity);
    CHECK(normal_cdf(-infinity) == 0);
    CHECK(t_cdf(infinity, 3) == 1);
    CHECK(chi_squared_cdf(-1, 4) == 0);
    CHECK(chi_squared_upper(infinity, 4) == 0);
    CHECK(beta_quantile(0, 2, 3) == 0);
    CHECK(beta_quantile(1, 2, 3) == 1);
    CHECK(f_upper(-1, 2, 3) == 1);
    CHECK(binomial_cdf(-1, 10, 0.3) == 0);
    CHECK(binomial_cdf(10, 10, 0.3) == 1);
    CHECK(binomial_cdf(3, 10, 0) == 1);
    CHECK(poisson_cdf(0, 0) == 1);
    CHECK(negative_binomial_cdf(0, 0, 2) == 1);
  }

  TEST_CASE("t and negative binomial go over into normal and Poisson") {
    CHECK(t_quantile(0.975, infinity) == normal_quantile(0.975));
    CHECK(t_quantile(0.975, 1e9) == doctest::Approx(normal_quantile(0.975)).epsilon(1e-8));
    CHECK(noncentral_t_cdf(1.3, infinity, 0.4) == normal_cdf(0.9));
    for (int x = 0; x < 20; ++x) {
      CHECK(negative_binomial_mass(x, 6, infinity) == poisson_mass(x, 6));
      CHECK(negative_binomial_mass(x, 6, 1e8) == doctest::Approx(poisson_mass(x, 6)).epsilon(1e-6));
    }
  }

  TEST_CASE("a whole-number quantile is the smallest count that reaches the level") {
    Random random(4);
    for (int i = 0; i < 100; ++i) {
      const double level = 0.001 + 0.998 * random.uniform();
      const double mean = 0.1 + 200 * random.uniform();
      const double k = 0.2 + 30 * random.uniform();
      const auto x = negative_binomial_quantile(level, mean, k);
      CHECK(negative_binomial_cdf(x, mean, k) >= level);
      CHECK((x == 0 || negative_binomial_cdf(x - 1, mean, k) < level));
      const auto z = poisson_quantile(level, mean);
      CHECK(poisson_cdf(z, mean) >= level);
      CHECK((z == 0 || poisson_cdf(z - 1, mean) < level));
    }
  }

  TEST_CASE("masses add up to one") {
    double sum = 0;
    for (int x = 0; x < 3000; ++x) sum += negative_binomial_mass(x, 150, 5);
    CHECK(sum == doctest::Approx(1).epsilon(1e-10));
  }
}
