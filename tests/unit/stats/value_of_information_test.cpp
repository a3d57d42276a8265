// SPDX-License-Identifier: Apache-2.0
#include "stats/value_of_information.h"

#include <doctest/doctest.h>

#include <cmath>

#include "base/random.h"

using namespace nthtree::stats;

TEST_SUITE("stats") {
  TEST_CASE("loss on both sides of zero differs by u") {
    for (double u = 0; u < 6; u += 0.37) {
      CHECK(unit_normal_linear_loss(-u) == doctest::Approx(u + unit_normal_linear_loss(u)));
    }
  }

  TEST_CASE("far out the loss is small and never negative") {
    for (const double u : {8.0, 20.0, 38.0, 100.0, infinity}) {
      CHECK(unit_normal_linear_loss(u) >= 0);
      CHECK(unit_normal_linear_loss(u) < 1e-16);
    }
  }

  TEST_CASE("looking is worth what simulated decisions gain by it") {
    const LinearDecision decision{.mean = 95, .sd = 10, .break_even = 100, .worth = 20};
    nthtree::base::Random random(17);
    double gained = 0;
    constexpr int runs = 200000;
    constexpr double noise_sd = 30, looks = 9;
    for (int run = 0; run < runs; ++run) {
      const double truth = 95 + 10 * random.normal();
      const double seen = truth + noise_sd / std::sqrt(looks) * random.normal();
      // Equal variances of belief (100) and of nine looks (100): the middle of both.
      if ((95 + seen) / 2 > 100) gained += 20 * (truth - 100);
    }
    const double told = value_of_looks(decision, noise_sd, looks) + decision.value_now();
    CHECK(gained / runs == doctest::Approx(told).epsilon(0.02));
  }

  TEST_CASE("more looks gain more, and never more than knowing") {
    const LinearDecision decision{.mean = 3, .sd = 2, .break_even = 5, .worth = 7};
    double before = 0;
    for (int looks = 1; looks < 500; ++looks) {
      const double value = value_of_looks(decision, 4, looks);
      CHECK(value > before);
      before = value;
    }
    CHECK(before < value_of_perfect_information(decision));
  }

  TEST_CASE("two looks pay where one does not: the search does not stop at the first fall") {
    const LinearDecision decision{.mean = 95, .sd = 10, .break_even = 100, .worth = 20};
    const double first = value_of_looks(decision, 30, 1) - 1.8;
    CHECK(first < 0);
    CHECK(looks_that_pay(decision, 30, 1.8, 200).looks > 1);
  }

  TEST_CASE("nothing to learn, or looking too dear: decide now") {
    CHECK(looks_that_pay({.mean = 3, .sd = 0, .break_even = 5}, 1, 0, 50).looks == 0);
    CHECK(looks_that_pay({.mean = 3, .sd = 1, .break_even = 5}, 1, 100, 50).looks == 0);
    CHECK(value_of_looks({.mean = 3, .sd = 1, .break_even = 5}, 1, 0) == 0);
  }
}
