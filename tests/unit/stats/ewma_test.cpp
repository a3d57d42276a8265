// SPDX-License-Identifier: Apache-2.0
#include "stats/ewma.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "base/random.h"

using namespace nthtree::stats;
using nthtree::base::Random;

TEST_SUITE("stats") {
  TEST_CASE("the chart itself, simulated, runs as long as the equation says") {
    Random random(56);
    for (bool exact : {false, true}) {
      const EwmaDesign design{.lambda = 0.2, .width = 2.5, .exact_limits = exact};
      double mean = 0;
      for (int run = 0; run < 3000; ++run) {
        EwmaState state = start(design);
        while (step(design, state, 0.5 + random.normal()).signal == 0) {
        }
        mean += static_cast<double>(state.n) / 3000;
      }
      const auto stated = exact ? ewma_run_length_exact(0.2, 2.5, 0.5)
                                : ewma_run_length(0.2, 2.5, 0.5);
      CHECK(mean == doctest::Approx(*stated).epsilon(0.08));
    }
  }

  TEST_CASE("two averages with head starts, simulated, run as long as stated") {
    Random random(57);
    const double lambda = 0.03, width = 2.437;
    const double limit = width * std::sqrt(lambda / (2 - lambda));
    double mean = 0;
    const int runs = 6000;
    for (int run = 0; run < runs; ++run) {
      double up = limit / 2, down = -limit / 2;
      int n = 0;
      do {
        const double x = random.normal();
        up += lambda * (x - up);
        down += lambda * (x - down);
        ++n;
      } while (up <= limit && down >= -limit);
      mean += static_cast<double>(n) / runs;
    }
    CHECK(mean == doctest::Approx(*ewma_run_length_fast(lambda, width, 0, 0.5)).epsilon(0.05));
    CHECK(*ewma_run_length_fast(lambda, width, 0, 0) ==
          doctest::Approx(*ewma_run_length(lambda, width, 0)).epsilon(1e-6));
  }

  TEST_CASE("lambda one is the Shewhart chart") {
    // 1 / P(|x| > 3) = 370.398.
    CHECK(*ewma_run_length(1, 3, 0) == doctest::Approx(370.3983).epsilon(1e-5));
    CHECK(*ewma_run_length_exact(1, 3, 0) == doctest::Approx(370.3983).epsilon(1e-5));
  }

  TEST_CASE("run lengths grow with L and shrink with shift, on either side alike") {
    for (double lambda : {0.05, 0.2, 0.5}) {
      CHECK(*ewma_run_length(lambda, 3, 0) > *ewma_run_length(lambda, 2.5, 0));
      CHECK(*ewma_run_length(lambda, 3, 1) < *ewma_run_length(lambda, 3, 0.5));
      CHECK(*ewma_run_length(lambda, 3, -1) == doctest::Approx(*ewma_run_length(lambda, 3, 1)));
      CHECK(*ewma_run_length_exact(lambda, 3, 1) < *ewma_run_length(lambda, 3, 1));
      const auto width = ewma_width_for_run_length(lambda, 200);
      CHECK(*ewma_run_length(lambda, *width, 0) == doctest::Approx(200).epsilon(1e-5));
    }
  }

  TEST_CASE("a signal is counted from one and says its side") {
    const EwmaDesign design{.target = 50, .sd = 2, .lambda = 0.3, .width = 3};
    const std::vector<double> low = {50, 44, 44, 44, 44};
    const auto run = run_ewma(design, low);
    CHECK(run->side == -1);
    CHECK(run->signal_at == 3);  // 50, 48.2, 46.94; the limit is 47.48
    CHECK(ewma_limits(design, 3).low == doctest::Approx(47.4795).epsilon(1e-5));
  }

  TEST_CASE("wrong arguments are refused by name") {
    CHECK(ewma_run_length(0, 3, 0).error().where == "lambda");
    CHECK(ewma_run_length(0.2, 7, 0).error().where == "width");
    CHECK(ewma_run_length_fast(0.2, 3, 0, 2).error().where == "head_start");
    CHECK(ewma_width_for_run_length(0.2, 1).error().where == "run_length");
    CHECK(run_ewma({.sd = 0}, {}).error().where == "sd");
    const std::vector<double> bad = {std::numeric_limits<double>::infinity()};
    CHECK(run_ewma({}, bad).error().where == "values");
  }
}
