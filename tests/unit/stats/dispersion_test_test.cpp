// SPDX-License-Identifier: Apache-2.0
#include "stats/dispersion_test.h"

#include <doctest/doctest.h>

#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;

TEST_SUITE("stats") {
  TEST_CASE("both tails are chances and add up to one") {
    for (const auto& counts : count_samples(100)) {
      const auto spread = poisson_dispersion(counts);
      if (!spread) continue;
      CHECK(spread->p_over + spread->p_under == doctest::Approx(1));
      CHECK(std::isfinite(spread->morisita));
      CHECK(spread->mean_crowding > -1.001);
    }
  }

  TEST_CASE("false alarms are as rare as stated and clumped counts are found") {
    nthtree::base::Random random(36);
    int alarms = 0, found = 0;
    for (int run = 0; run < 1000; ++run) {
      std::vector<double> even(20), clumped(20);
      for (double& x : even) x = static_cast<double>(random.poisson(12));
      for (double& x : clumped) x = static_cast<double>(random.negative_binomial(12, 3));
      alarms += poisson_dispersion(even)->p_over < 0.05 ? 1 : 0;
      found += poisson_dispersion(clumped)->p_over < 0.05 ? 1 : 0;
    }
    CHECK(alarms > 30);
    CHECK(alarms < 75);
    CHECK(found > 980);
  }

  TEST_CASE("no counts, all full and more than the size are refused") {
    CHECK(poisson_dispersion(std::vector<double>{0, 0}).error().where == "counts");
    CHECK(binomial_dispersion(std::vector<double>{5, 5}, 5).error().where == "counts");
    CHECK(binomial_dispersion(std::vector<double>{6, 2}, 5).error().where == "counts");
    CHECK(binomial_dispersion(std::vector<double>{1, 2}, 0).error().where == "size");
  }
}
