// SPDX-License-Identifier: Apache-2.0
#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "base/random.h"
#include "stats/cusum.h"

using namespace nthtree::stats;
using nthtree::base::Random;

TEST_SUITE("stats") {
  TEST_CASE("the chart itself, simulated, runs as long as the equation says") {
    Random random(54);
    for (double head_start : {0.0, 2.0}) {
      for (double shift : {0.0, 0.75}) {
        const CusumDesign design{.target = 0, .k = 0.5, .h = 4, .head_start = head_start};
        double mean = 0;
        const int runs = 3000;
        for (int run = 0; run < runs; ++run) {
          CusumState state = start(design);
          while (step(design, state, shift + random.normal()).signal == CusumSide::none) {
          }
          mean += static_cast<double>(state.n) / runs;
        }
        // Run lengths scatter about as much as their mean: 2 % is one standard error here.
        CHECK(mean == doctest::Approx(*cusum_run_length(0.5, 4, shift, head_start)).epsilon(0.08));
      }
    }
  }

  TEST_CASE("run lengths grow with h and k and shrink with shift and head start") {
    for (double k : {0.25, 0.5, 1.0}) {
      double before = 0;
      for (double h : {1.0, 2.0, 4.0, 6.0}) {
        const double now = *cusum_run_length(k, h, 0);
        CHECK(now > before);
        before = now;
      }
      CHECK(*cusum_run_length(k + 0.1, 3, 0) > *cusum_run_length(k, 3, 0));
      CHECK(*cusum_run_length(k, 3, 1) < *cusum_run_length(k, 3, 0.5));
      CHECK(*cusum_run_length(k, 3, 1, 1.5) < *cusum_run_length(k, 3, 1));
      CHECK(*cusum_run_length(k, 3, -1) == doctest::Approx(*cusum_run_length(k, 3, 1)));
    }
  }

  TEST_CASE("h for a run length gives that run length") {
    for (double k : {0.2, 0.5, 0.9}) {
      for (double wanted : {20.0, 200.0, 2000.0}) {
        const auto h = cusum_h_for_run_length(k, wanted);
        REQUIRE(h.ok());
        CHECK(*cusum_run_length(k, *h, 0) == doctest::Approx(wanted).epsilon(1e-6));
      }
    }
    CHECK(*cusum_h_for_run_length(0.5, 370, false) < *cusum_h_for_run_length(0.5, 370, true));
  }

  TEST_CASE("the Markov chain nears the integral equation as it grows finer") {
    const double exact = *cusum_run_length_one_sided(0.5, 3, 0.5);
    double before = 1e9;
    for (std::size_t states : {5, 20, 80, 320}) {
      const double apart = std::fabs(*cusum_run_length_markov(0.5, 3, 0.5, states) - exact);
      CHECK(apart < before);
      before = apart;
    }
    CHECK(before < 1e-3 * exact);
  }

  TEST_CASE("a count chart, simulated, runs as long as its chain says") {
    Random random(55);
    const CountCusum chart{.k = 5, .h = 20, .head_start = 4, .lattice = 1, .up = true};
    double mean = 0;
    for (int run = 0; run < 3000; ++run) {
      double sum = chart.head_start;
      int n = 0;
      while (sum < chart.h) {
        sum = std::fmax(0, sum + static_cast<double>(random.negative_binomial(4, 3)) - chart.k);
        ++n;
      }
      mean += n / 3000.0;
    }
    CHECK(mean == doctest::Approx(*count_cusum_run_length(chart, 4, 3)).epsilon(0.08));
  }

  TEST_CASE("what cannot be worked out is an error, not infinity") {
    CHECK(cusum_run_length_one_sided(2, 40, 0).error().id == "no_solution");
    CHECK(cusum_run_length(0.5, 60, 0).error().where == "h");
    CHECK(cusum_run_length(-1, 4, 0).error().where == "k");
    CHECK(cusum_h_for_run_length(0.5, 1).error().where == "run_length");
    CHECK(count_cusum_run_length({.k = 0.3, .h = 4, .lattice = 0.25}, 1, 2).error().where == "k");
    CHECK(count_cusum_run_length({.k = 1, .h = 4, .head_start = 4}, 1, 2).error().where ==
          "head_start");
    // Far off target the away side never signals; the chart still has a run length.
    CHECK(*cusum_run_length(0.5, 5, 6) == doctest::Approx(1).epsilon(0.4));
  }
}
