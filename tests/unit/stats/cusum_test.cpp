// SPDX-License-Identifier: Apache-2.0
#include "stats/cusum.h"

#include <doctest/doctest.h>

#include <limits>

#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;

TEST_SUITE("stats") {
  TEST_CASE("values mirrored about the target mirror the chart") {
    nthtree::base::Random random(51);
    const CusumDesign design{.target = 180, .k = 10, .h = 60};
    std::vector<double> values(40), mirrored;
    for (double& x : values) x = 185 + 25 * random.normal();
    for (double x : values) mirrored.push_back(360 - x);
    const auto a = run_cusum(design, values);
    const auto b = run_cusum(design, mirrored);
    CHECK(a->signal_at == b->signal_at);
    for (std::size_t i = 0; i < values.size(); ++i) {
      CHECK(a->high[i] == doctest::Approx(b->low[i]));
      CHECK(a->high[i] >= 0);
    }
  }

  TEST_CASE("a change of unit changes the sums and not the signal") {
    nthtree::base::Random random(52);
    std::vector<double> values(40);
    for (double& x : values) x = 190 + 25 * random.normal();
    const auto a = run_cusum({.target = 180, .k = 10, .h = 60}, values);
    for (double& x : values) x *= 0.01;
    const auto b = run_cusum({.target = 1.8, .k = 0.1, .h = 0.6}, values);
    CHECK(a->signal_at == b->signal_at);
    CHECK(a->change_after == b->change_after);
  }

  TEST_CASE("the change point and the new mean of a clear step are found") {
    std::vector<double> values(20, 180.0);
    values.insert(values.end(), 10, 220.0);
    const auto run = run_cusum({.target = 180, .k = 10, .h = 100}, values);
    CHECK(run->side == CusumSide::high);
    CHECK(run->signal_at == 24);  // 30, 60, 90, 120
    CHECK(run->change_after == 20);
    CHECK(run->mean_after == doctest::Approx(220));
    for (double& x : values) x = 360 - x;
    const auto down = run_cusum({.target = 180, .k = 10, .h = 100}, values);
    CHECK(down->side == CusumSide::low);
    CHECK(down->mean_after == doctest::Approx(140));
  }

  TEST_CASE("stepping one by one equals the run, and a head start signals sooner") {
    nthtree::base::Random random(53);
    std::vector<double> values(60);
    for (double& x : values) x = 200 + 25 * random.normal();
    const CusumDesign plain{.target = 180, .k = 10, .h = 110};
    CusumDesign fast = plain;
    fast.head_start = 55;
    const auto run = run_cusum(plain, values);
    CusumState state = start(plain);
    for (std::size_t i = 0; i < values.size(); ++i) {
      step(plain, state, values[i]);
      CHECK(state.high == run->high[i]);
    }
    CHECK(run_cusum(fast, values)->signal_at <= run->signal_at);
    CHECK(mean_since_change(plain, start(plain)) == 180);
  }

  TEST_CASE("nonsense is refused by name") {
    const std::vector<double> values = {1, 2};
    CHECK(run_cusum({.k = -1, .h = 4}, values).error().where == "k");
    CHECK(run_cusum({.k = 1, .h = 0}, values).error().where == "h");
    CHECK(run_cusum({.k = 1, .h = 4, .head_start = 5}, values).error().where == "head_start");
    const std::vector<double> bad = {1, std::numeric_limits<double>::quiet_NaN()};
    CHECK(run_cusum({}, bad).error().where == "values");
    CHECK(run_cusum({}, {})->signal_at == 0);
  }
}
