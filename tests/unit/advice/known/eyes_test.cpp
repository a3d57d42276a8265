// SPDX-License-Identifier: Apache-2.0
#include "advice/known/eyes.h"

#include <doctest/doctest.h>

#include <cmath>

#include "base/random.h"

using namespace nthtree::advice;

namespace {

// Variances: tree to tree, and of the limbs left out.
constexpr double spread_of_trees = 0.0625, open = 0.03;

// Pairs of one eye over mornings of ten.
EyeSums pairs_of(double slope, double correlation, int mornings, std::uint64_t seed) {
  nthtree::base::Random random(seed);
  const double rho2 = correlation * correlation;
  const double scatter = slope * std::sqrt(spread_of_trees * (1 / rho2 - 1));
  EyeSums sums;
  for (int morning = 0; morning < mornings; ++morning) {
    const double scale = 0.3 * random.normal();
    double x = 0, y = 0, xx = 0, xy = 0, yy = 0;
    for (int i = 0; i < 10; ++i) {
      const double tree = std::sqrt(spread_of_trees) * random.normal();
      const double score = scale + slope * tree + scatter * random.normal();
      const double count = tree + std::sqrt(open) * random.normal();
      x += score;
      y += count;
      xx += score * score;
      xy += score * count;
      yy += count * count;
    }
    sums.add({10, 9, xx - x * x / 10, xy - x * y / 10, yy - y * y / 10, 9 * open});
  }
  return sums;
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("an eye nobody has seen at work counts for nothing") {
    CHECK_FALSE(EyeModel().of("p1").counts);
    CHECK_FALSE(EyeModel({{"p1", pairs_of(0.9, 0.9, 1, 1)}}, spread_of_trees).of("p1").counts);
  }

  TEST_CASE("slope, scatter and correlation are those with the tree, not with its count in part") {
    const Eye eye = EyeModel({{"p1", pairs_of(0.7, 0.8, 60, 2)}}, spread_of_trees).of("p1");
    CHECK(eye.slope == doctest::Approx(0.7).epsilon(0.06));
    CHECK(eye.correlation == doctest::Approx(0.8).epsilon(0.04));
    CHECK(eye.counts);
    CHECK(eye.slope_sd < 0.05);
  }

  TEST_CASE("a poor eye stays out however many pairs it has") {
    const Eye eye = EyeModel({{"p1", pairs_of(0.8, 0.45, 40, 3)}}, spread_of_trees).of("p1");
    CHECK(eye.correlation < 0.6);
    CHECK_FALSE(eye.counts);
  }

  TEST_CASE("the farm's eyes lend fifteen pairs at most, a person's own outweigh them") {
    int taken = 0, poor = 0;
    for (unsigned seed = 0; seed < 40; ++seed) {
      EyeTable farm;
      for (unsigned i = 0; i < 8; ++i) {
        farm["p" + std::to_string(i)] = pairs_of(0.85, 0.85, 3, 1000 + 10 * seed + i);
      }
      farm["new"] = pairs_of(0.85, 0.85, 1, 2000 + seed);
      farm["poor"] = pairs_of(0.85, 0.3, 20, 3000 + seed);
      const EyeModel eyes(farm, spread_of_trees);
      CHECK(eyes.of("new").pairs_borrowed == doctest::Approx(15).epsilon(0.15));
      CHECK_FALSE(eyes.of("nobody yet").counts);
      taken += eyes.of("new").counts;
      poor += eyes.of("poor").counts;
    }
    CHECK(taken > 34);  // ten pairs of one's own say little of an eye
    CHECK(poor == 0);
  }
}
