// SPDX-License-Identifier: Apache-2.0
#include "stats/belief_mixture.h"

#include <doctest/doctest.h>

#include <cmath>

using namespace nthtree::stats;

namespace {

// Conjugate posteriors of the parts, mixed with weights ∝ p N(x; mean, se² + sd²). Expected values:
// computed with scipy 1.11 (norm.pdf and the textbook formulas), five digits.
BeliefMixture about(double mean, double sd_usual, double sd_off, double off_chance) {
  return {NormalBelief::about(mean, sd_usual * sd_usual),
          NormalBelief::about(mean, sd_off * sd_off), off_chance};
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("a value far off lets go of the usual belief") {
    const struct { double x, off, mean, sd; } expected[] = {
        {120, 0.07198, 110.664, 7.682}, {130, 0.19738, 117.733, 9.459},
        {140, 0.55295, 130.208, 12.640}, {150, 0.90801, 145.954, 11.679},
        {160, 0.99206, 157.472, 10.091}};
    for (const auto& e : expected) {
      const BeliefMixture seen = observe(about(100, 10, 50, 0.1), e.x, 100);
      CHECK(seen.off_chance == doctest::Approx(e.off).epsilon(1e-4));
      CHECK(seen.mean() == doctest::Approx(e.mean).epsilon(1e-5));
      CHECK(seen.sd() == doctest::Approx(e.sd).epsilon(1e-4));
    }
  }

  TEST_CASE("right or off, from the mean of four checks of sd 6") {
    const struct { double d, off; } expected[] = {
        {3, 0.02617}, {6, 0.10438}, {9, 0.57334}, {12, 0.97630}};
    for (const auto& e : expected) {
      const BeliefMixture seen = observe(about(0, 1e-6, 20, 0.1), e.d, 9);
      CHECK(seen.off_chance == doctest::Approx(e.off).epsilon(1e-3));
    }
  }

  TEST_CASE("chances and quantiles belong together") {
    const BeliefMixture belief{NormalBelief::about(1, 4), NormalBelief::about(3, 100), 0.3};
    for (double p : {0.001, 0.05, 0.5, 0.9, 0.999}) {
      CHECK(belief.cdf(belief.quantile(p)) == doctest::Approx(p).epsilon(1e-9));
    }
    CHECK(belief.mean() == doctest::Approx(1.6));
    CHECK(belief.variance() == doctest::Approx(0.7 * 4 + 0.3 * 100 + 0.21 * 4));
  }

  TEST_CASE("with no chance of it nothing is off") {
    const BeliefMixture seen = observe(about(0, 1, 5, 0), 30, 1);
    CHECK(seen.off_chance == 0);
    CHECK(seen.mean() == doctest::Approx(15));
  }
}
