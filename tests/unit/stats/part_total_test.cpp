// SPDX-License-Identifier: Apache-2.0
#include "stats/part_total.h"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "base/random.h"

using namespace nthtree::stats;

TEST_SUITE("stats") {
  TEST_CASE("a total of all parts is their sum and has no variance") {
    const double limbs[] = {12, 7, 9};
    const auto whole = part_total(limbs, 3);
    REQUIRE(whole.ok());
    CHECK(whole->total == doctest::Approx(28));
    CHECK(whole->variance_random == doctest::Approx(0));
    CHECK(whole->variance_successive == doctest::Approx(0));
  }

  TEST_CASE("step times sum is exact on average over the starts, limbs times mean nearly so") {
    nthtree::base::Random random(5);
    for (int run = 0; run < 50; ++run) {
      std::vector<double> limbs(6 + random.below(20));
      for (double& limb : limbs) limb = static_cast<double>(random.negative_binomial(14, 4));
      for (std::size_t step = 2; step <= limbs.size(); ++step) {
        const auto truth = part_total_over_starts(limbs, step);
        CHECK(truth->mean_expanded == doctest::Approx(truth->total));
        if (limbs.size() % step == 0) CHECK(truth->mean == doctest::Approx(truth->total));
      }
    }
  }

  TEST_CASE("a random draw's variance is met on average by the form from one sample") {
    nthtree::base::Random random(6);
    std::vector<double> limbs(16);
    for (double& limb : limbs) limb = static_cast<double>(random.negative_binomial(14, 4));
    const auto all = part_total(limbs, 16);
    double said = 0, met = 0;
    constexpr int runs = 20000;
    for (int run = 0; run < runs; ++run) {
      std::vector<double> shuffled = limbs;
      for (std::size_t i = 0; i < 4; ++i) {
        std::swap(shuffled[i], shuffled[i + random.below(16 - i)]);
      }
      const auto some = part_total(std::span(shuffled).first(4), 16);
      said += some->variance_random / runs;
      met += (some->total - all->total) * (some->total - all->total) / runs;
    }
    CHECK(said == doctest::Approx(met).epsilon(0.05));
  }

  TEST_CASE("limbs that shrink evenly: successive differences see the precision") {
    const double limbs[] = {40, 36, 32, 28, 24};
    const auto tree = part_total(limbs, 20);
    CHECK(tree->variance_successive < 0.25 * tree->variance_random);
  }

  TEST_CASE("what cannot be is refused with the argument's name") {
    const double limbs[] = {12, 7, 9};
    CHECK(part_total({}, 3).error().where == "counted");
    CHECK(part_total(limbs, 2).error().where == "parts");
    CHECK(part_total_over_starts(limbs, 1).error().where == "step");
    CHECK(part_total_over_starts(limbs, 4).error().where == "step");
    const double bad[] = {12, -7};
    CHECK_FALSE(part_total(bad, 5).ok());
    const double periods[] = {0.5};
    CHECK(multilevel_total(periods, 10).error().where == "periods");
  }

  TEST_CASE("three stages: rows, trees, limbs") {
    const double periods[] = {10, 25, 4};
    CHECK(*multilevel_total(periods, 123) == doctest::Approx(123000));
  }
}
