// SPDX-License-Identifier: Apache-2.0
#include "base/random.h"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using nthtree::base::Random;

namespace {

struct Moments {
  double mean = 0, variance = 0;
};
template <typename Draw>
Moments moments(int n, Draw draw) {
  double sum = 0, squares = 0;
  for (int i = 0; i < n; ++i) {
    const double x = static_cast<double>(draw());
    sum += x;
    squares += x * x;
  }
  const double mean = sum / n;
  return {mean, squares / n - mean * mean};
}

}  // namespace

TEST_SUITE("base") {
  TEST_CASE("the same seed gives the same numbers on every platform") {
    // Reference: xoshiro256** and splitmix64, computed with a Python program of its own, written
    // after the authors' public-domain C code.
    Random random(42);
    CHECK(random.next() == 1546998764402558742u);
    CHECK(random.next() == 6990951692964543102u);
    CHECK(random.next() == 12544586762248559009u);
  }

  TEST_CASE("below never reaches its limit and reaches everything under it") {
    Random random(1);
    std::vector<int> seen(7);
    for (int i = 0; i < 7000; ++i) ++seen[random.below(7)];
    for (const int n : seen) CHECK(std::abs(n - 1000) < 150);
  }

  TEST_CASE("normal, gamma, Poisson and negative binomial have their means and variances") {
    Random random(3);
    const int n = 200000;
    auto m = moments(n, [&] { return random.normal(); });
    CHECK(std::abs(m.mean) < 0.01);
    CHECK(std::abs(m.variance - 1) < 0.02);
    m = moments(n, [&] { return random.gamma(0.5); });
    CHECK(std::abs(m.mean - 0.5) < 0.01);
    CHECK(std::abs(m.variance - 0.5) < 0.02);
    m = moments(n, [&] { return random.poisson(150); });
    CHECK(std::abs(m.mean - 150) < 0.2);
    CHECK(std::abs(m.variance - 150) < 3);
    // variance = mean + mean²/k, e.g. Bliss and Fisher (1953), Biometrics 9:176-200.
    m = moments(n, [&] { return random.negative_binomial(150, 20); });
    CHECK(std::abs(m.mean - 150) < 0.5);
    CHECK(std::abs(m.variance - 1275) < 25);
  }
}
