// SPDX-License-Identifier: Apache-2.0
#include "stats/posterior_normal.h"

#include <doctest/doctest.h>

#include "stats/mean_interval.h"
#include "stats/quantiles.h"
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
    const Shares split = shares(nothing, {-1, 1});
    CHECK(split.below == 0.5);
    CHECK(split.inside == 0);
    CHECK(credible_interval(nothing, 0.9).low == -infinity);
    CHECK(chance_beyond(nothing, 3) == 1);
    CHECK(chance_larger(nothing, NormalBelief::about(3, 1)) == 0.5);
    CHECK(loosen(nothing, 5).precision == 0);
    CHECK(observe(NormalBelief::about(3, 1), 9, infinity).mean == 3);
  }

  TEST_CASE("shares add up to one and follow the normal distribution") {
    const NormalBelief belief = NormalBelief::about(180, 400);
    const Shares split = shares(belief, {162, 198});
    CHECK(split.below == doctest::Approx(normal_cdf(-0.9)));
    CHECK(split.above == doctest::Approx(normal_cdf(-0.9)));
    CHECK(split.below + split.inside + split.above == doctest::Approx(1));
    CHECK(chance_beyond(NormalBelief::about(0, 1), 1.959963985) == doctest::Approx(0.05));
    CHECK(chance_larger(NormalBelief::about(1, 0.5), NormalBelief::about(0, 0.5)) ==
          doctest::Approx(normal_cdf(1)));
  }

  TEST_CASE("fading and loosening widen, and keep the mean") {
    const NormalBelief belief = NormalBelief::about(12, 4);
    CHECK(fade(belief, 0.5).variance() == doctest::Approx(8));
    CHECK(loosen(belief, 5).variance() == doctest::Approx(9));
    CHECK(fade(belief, 0.5).mean == 12);
    CHECK(loosen(belief, 5).mean == 12);
    CHECK(fade(belief, 0).precision == 0);
  }

  TEST_CASE("from a flat start the learnt belief is the t interval of the sample") {
    for (const auto& sample : count_samples(40)) {
      NormalGammaBelief belief;
      for (double x : sample) belief = observe(belief, x);
      if (!belief.proper()) continue;  // equal values only
      const auto t = mean_interval(sample, MeanMethod::student_t, 0.9);
      const Interval credible = credible_interval(belief, 0.9);
      CHECK(credible.low == doctest::Approx(t->interval.low).epsilon(1e-9));
      CHECK(credible.high == doctest::Approx(t->interval.high).epsilon(1e-9));
      CHECK(belief.df() == doctest::Approx(static_cast<double>(sample.size() - 1)));
    }
  }

  TEST_CASE("a guess worth ten values weighs as ten values") {
    NormalGammaBelief belief = NormalGammaBelief::about(100, 10, 20, 8);
    CHECK(belief.variance_mean() == doctest::Approx(400));
    for (int i = 0; i < 10; ++i) belief = observe(belief, 200);
    CHECK(belief.centre == doctest::Approx(150));
    CHECK(fade(belief, 0.5).weight == 10);
    CHECK(fade(belief, 0.5).variance_mean() == doctest::Approx(belief.variance_mean()));
  }

  TEST_CASE("the next value scatters more than the mean") {
    NormalGammaBelief belief;
    for (double x : {90.0, 120.0, 150.0, 110.0, 130.0}) belief = observe(belief, x);
    const Shares mean = shares(belief, {100, 140});
    const Shares next = shares_of_next(belief, {100, 140});
    CHECK(next.inside < mean.inside);
    CHECK(next.below + next.inside + next.above == doctest::Approx(1));
    CHECK(shares(NormalGammaBelief{}, {0, 1}).inside == 0);
  }
}
