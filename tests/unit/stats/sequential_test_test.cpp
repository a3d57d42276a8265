// SPDX-License-Identifier: Apache-2.0
#include "stats/sequential_test.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "base/random.h"

using namespace nthtree::stats;
using nthtree::base::Random;

namespace {

struct Outcome {
  double second = 0;  // share of runs that accept the second mean
  double n = 0;       // mean length
};

template <typename Draw>
Outcome simulate(const SequentialTest& test, int runs, Draw draw) {
  Outcome outcome;
  for (int run = 0; run < runs; ++run) {
    double sum = 0;
    int n = 0;
    auto decision = SequentialDecision::go_on;
    while (decision == SequentialDecision::go_on) {
      sum += draw();
      decision = test.decide(++n, sum);
    }
    outcome.second += decision == SequentialDecision::accept_second ? 1.0 / runs : 0;
    outcome.n += static_cast<double>(n) / runs;
  }
  return outcome;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("at the two hypotheses the chances are the stated errors") {
    const SequentialTest tests[] = {*sprt_normal(150, 165, 30, 0.05, 0.1),
                                    *sprt_poisson(2, 4, 0.05, 0.1),
                                    *sprt_negative_binomial(150, 180, 20, 0.05, 0.1),
                                    *sprt_binomial(0.1, 0.3, 0.05, 0.1)};
    const double means[][2] = {{150, 165}, {2, 4}, {150, 180}, {0.1, 0.3}};
    for (int i = 0; i < 4; ++i) {
      CHECK(tests[i].chance_second(means[i][0]) == doctest::Approx(0.05).epsilon(1e-6));
      CHECK(tests[i].chance_second(means[i][1]) == doctest::Approx(0.90).epsilon(1e-6));
      const double middle = (means[i][0] + means[i][1]) / 2;
      CHECK(tests[i].expected_n(middle) > tests[i].expected_n(means[i][0]));
      CHECK(tests[i].expected_n(middle) > tests[i].expected_n(means[i][1]));
      double before = 0;
      for (double share = -0.5; share <= 1.5; share += 0.1) {
        const double mean = means[i][0] + share * (means[i][1] - means[i][0]);
        if (mean <= 0) continue;
        const double chance = tests[i].chance_second(mean);
        CHECK(chance >= before - 1e-9);
        CHECK(chance <= 1);
        CHECK(std::isfinite(tests[i].expected_n(mean)));
        before = chance;
      }
    }
  }

  TEST_CASE("simulated tests keep the stated errors and come near the expected length") {
    Random random(50);
    const auto test = sprt_negative_binomial(150, 190, 16, 0.05, 0.05);
    REQUIRE(test.ok());
    for (double mean : {150.0, 169.0, 190.0}) {
      const auto seen = simulate(*test, 4000, [&] {
        return static_cast<double>(random.negative_binomial(mean, 16));
      });
      // Overshoot makes errors smaller and runs longer than Wald's formulas say.
      if (mean == 150) CHECK(seen.second < 0.055);
      if (mean == 190) CHECK(seen.second > 0.945);
      CHECK(seen.n > 0.95 * test->expected_n(mean));
      CHECK(seen.n < 1.45 * test->expected_n(mean));
    }
  }

  TEST_CASE("swapping the hypotheses swaps the answers") {
    const auto up = sprt_poisson(2, 4, 0.05, 0.1);
    const auto down = sprt_poisson(4, 2, 0.1, 0.05);
    for (int n = 1; n < 12; ++n) {
      for (int sum = 0; sum < 60; ++sum) {
        const auto a = up->decide(n, sum);
        const auto b = down->decide(n, sum);
        CHECK((a == SequentialDecision::accept_first) ==
              (b == SequentialDecision::accept_second));
        CHECK((a == SequentialDecision::accept_second) ==
              (b == SequentialDecision::accept_first));
      }
    }
    CHECK(up->lower_line(7) == doctest::Approx(down->lower_line(7)));
  }

  TEST_CASE("a decision is the running sum against the two lines") {
    const auto test = sprt_negative_binomial(150, 180, 20, 0.05, 0.05);
    for (int n = 1; n < 30; ++n) {
      CHECK(test->decide(n, test->upper_line(n) + 1e-6) == SequentialDecision::accept_second);
      CHECK(test->decide(n, test->lower_line(n) - 1e-6) == SequentialDecision::accept_first);
      CHECK(test->decide(n, (test->upper_line(n) + test->lower_line(n)) / 2) ==
            SequentialDecision::go_on);
    }
    CHECK(test->decide(0, 0) == SequentialDecision::go_on);
  }

  TEST_CASE("a very large k is the Poisson test") {
    const auto poisson = sprt_poisson(20, 25, 0.05, 0.05);
    const auto large = sprt_negative_binomial(20, 25, 1e7, 0.05, 0.05);
    CHECK(large->slope() == doctest::Approx(poisson->slope()).epsilon(1e-5));
    const auto infinite = sprt_negative_binomial(
        20, 25, std::numeric_limits<double>::infinity(), 0.05, 0.05);
    CHECK(infinite->slope() == poisson->slope());
  }

  TEST_CASE("wrong arguments are refused by name") {
    CHECK(sprt_normal(1, 1, 1, 0.05, 0.05).error().where == "mean1");
    CHECK(sprt_normal(1, 2, 0, 0.05, 0.05).error().where == "sd");
    CHECK(sprt_poisson(0, 2, 0.05, 0.05).error().where == "mean0");
    CHECK(sprt_negative_binomial(1, 2, 0, 0.05, 0.05).error().where == "k");
    CHECK(sprt_binomial(0.1, 1, 0.05, 0.05).error().where == "probability1");
    CHECK(sprt_poisson(1, 2, 0.6, 0.5).error().where == "beta");
    CHECK(sprt_poisson(1, 2, 0, 0.5).error().where == "alpha");
  }
}
