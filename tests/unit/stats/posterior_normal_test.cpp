// SPDX-License-Identifier: Apache-2.0
#include "stats/posterior_normal.h"

#include <doctest/doctest.h>

#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;
using nthtree::base::Random;

TEST_SUITE("stats") {
  TEST_CASE("observations in any order, one by one or combined, give the same belief") {
    Random random(20);
    for (const auto& sample : count_samples(40)) {
      NormalBelief one_by_one{0, 0};
      for (double x : sample) one_by_one = observe(one_by_one, x, 30);
      NormalBelief other_order{0, 0};
      for (double x : shuffled(sample, random)) other_order = observe(other_order, x, 30);
      CHECK(one_by_one.mean == doctest::Approx(other_order.mean).epsilon(1e-12));
      CHECK(one_by_one.variance() == doctest::Approx(30.0 / static_cast<double>(sample.size())));
    }
  }

  TEST_CASE("knowing nothing is said as such and is never NaN") {
    const NormalBelief nothing{0, 0};
    CHECK(nothing.variance() == infinity);
    CHECK(combine(nothing, nothing).precision == 0);
    CHECK(observe(NormalBelief::about(3, 1), 9, infinity).mean == 3);
  }
}
