// SPDX-License-Identifier: Apache-2.0
#include "stats/sample_size.h"

#include <doctest/doctest.h>

#include <cmath>

#include "stats/quantiles.h"

using namespace nthtree::stats;

TEST_SUITE("stats") {
  TEST_CASE("the size named is the smallest that reaches the precision") {
    for (double cv : {0.05, 0.2, 0.45, 1.0}) {
      for (double relative : {0.02, 0.1, 0.3}) {
        const std::size_t n = *sample_size_for_mean(cv, relative);
        const auto half = [&](std::size_t m) {
          const double size = static_cast<double>(m);
          return t_quantile(0.975, size - 1) * cv / std::sqrt(size);
        };
        CHECK(half(n) <= relative);
        if (n > 2) CHECK(half(n - 1) > relative);
      }
    }
  }

  TEST_CASE("more spread, more confidence, finer wishes and larger blocks ask for more") {
    CHECK(*sample_size_for_mean(0.3, 0.1) > *sample_size_for_mean(0.2, 0.1));
    CHECK(*sample_size_for_mean(0.3, 0.05) > *sample_size_for_mean(0.3, 0.1));
    CHECK(*sample_size_for_mean(0.3, 0.1, 0.99) > *sample_size_for_mean(0.3, 0.1, 0.9));
    CHECK(*sample_size_for_mean(0.3, 0.1, 0.95, 100) < *sample_size_for_mean(0.3, 0.1));
    CHECK(*sample_size_for_mean(0.3, 0.001, 0.95, 100) == 100);
    CHECK(*sample_size_for_equivalence(5, 30, 20) > *sample_size_for_equivalence(0, 30, 20));
  }

  TEST_CASE("the equivalence size has the power it was asked for") {
    const double n = *sample_size_for_equivalence(0, 30, 20, 0.05, 0.9);
    CHECK(*equivalence_power(0, 30, 20, n) == doctest::Approx(0.9).epsilon(1e-6));
    CHECK(*equivalence_power(0, 30, 20, 2) == 0);
  }

  TEST_CASE("whole units round up and forgive the last digit") {
    CHECK(whole_units(28.0) == 28);
    CHECK(whole_units(28.000000000000004) == 28);
    CHECK(whole_units(28.1) == 29);
    CHECK(whole_units(0) == 0);
  }

  TEST_CASE("clusters of one trial have no design effect, unequal ones more than equal ones") {
    CHECK(design_effect(0.3, 1) == 1);
    CHECK(design_effect(0.3, 20, 8) > design_effect(0.3, 20));
    CHECK(design_effect(0, 20) == 1);
  }

  TEST_CASE("wrong arguments are refused by name") {
    CHECK(sample_size_for_mean(0, 0.1).error().where == "cv");
    CHECK(sample_size_for_mean(0.2, 0).error().where == "relative");
    CHECK(sample_size_for_mean(0.2, 1e-9).error().where == "relative");
    CHECK(sample_size_for_mean(0.2, 0.1, 0.95, 1).error().where == "population");
    CHECK(sample_size_for_proportion(1, 0.1).error().where == "p");
    CHECK(sample_size_for_equivalence(20, 30, 20).error().where == "difference");
  }
}
