// SPDX-License-Identifier: Apache-2.0
#include "stats/limits_of_agreement.h"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "base/random.h"

using namespace nthtree::stats;

TEST_SUITE("stats") {
  TEST_CASE("limits of agreement refuse what is no pair") {
    const std::vector<double> a = {1, 2, 3}, b = {1, 2}, odd = {1, 2, NAN};
    CHECK(limits_of_agreement(a, b).error().where == "b");
    CHECK(limits_of_agreement(b, b).error().id == "too_few_values");
    CHECK(limits_of_agreement(a, odd).error().where == "b");
    CHECK(limits_of_agreement(a, a, 0).error().where == "z");
    CHECK(limits_of_agreement(a, a, 2, 1).error().where == "confidence");
  }

  TEST_CASE("a second way that is always five higher agrees within nothing of five") {
    const std::vector<double> a = {100, 180, 240, 310}, b = {105, 185, 245, 315};
    const auto limits = limits_of_agreement(a, b);
    REQUIRE(limits);
    CHECK(limits->mean == doctest::Approx(-5));
    CHECK(limits->low == doctest::Approx(-5));
    CHECK(limits->high == doctest::Approx(-5));
    CHECK(limits->size_correlation == 0);
  }

  TEST_CASE("nineteen in twenty differences lie inside, and the intervals hold the limits") {
    nthtree::base::Random random(5);
    int inside = 0, held = 0;
    constexpr int studies = 400, pairs = 30;
    for (int study = 0; study < studies; ++study) {
      std::vector<double> a, b;
      for (int i = 0; i < pairs; ++i) {
        const double unit = 200 + 50 * random.normal();
        a.push_back(unit + 3 + 6 * random.normal());
        b.push_back(unit + 8 * random.normal());
      }
      const auto limits = limits_of_agreement(a, b);
      REQUIRE(limits);
      const double next = 3 + 10 * random.normal();
      inside += limits->low <= next && next <= limits->high;
      const double true_high = 3 + 1.959963984540054 * 10;
      held += limits->high_interval.low <= true_high && true_high <= limits->high_interval.high;
    }
    CHECK(inside > 0.90 * studies);
    CHECK(held > 0.91 * studies);
    CHECK(held < 0.99 * studies);
  }

  TEST_CASE("differences that grow with the size are noticed") {
    std::vector<double> a, b;
    for (int i = 1; i <= 12; ++i) {
      a.push_back(100.0 + 20 * i);
      b.push_back(0.9 * a.back() + (i % 3));
    }
    CHECK(limits_of_agreement(a, b)->size_correlation > 0.9);
    for (double& x : a) x = std::log(x);
    for (double& x : b) x = std::log(x);
    CHECK(std::fabs(limits_of_agreement(a, b)->size_correlation) < 0.9);
  }
}
