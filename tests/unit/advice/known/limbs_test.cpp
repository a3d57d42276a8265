// SPDX-License-Identifier: Apache-2.0
#include "advice/known/limbs.h"

#include <doctest/doctest.h>

#include <cmath>

#include "base/random.h"

using namespace nthtree::advice;

TEST_SUITE("advice") {
  TEST_CASE("before any limb is counted, limbs differ as on real trees") {
    CHECK(std::sqrt(LimbSums().variance()) == doctest::Approx(0.5));
    LimbSums one;
    one.add({14}, 20);  // a single limb tells of no difference
    CHECK(one.df == 0);
    one.add({0, 0, 0}, 20);
    CHECK(one.df == 0);
  }

  TEST_CASE("many counted limbs replace the guess") {
    nthtree::base::Random random(3);
    LimbSums limbs;
    for (int tree = 0; tree < 200; ++tree) {
      std::vector<int> counted;
      for (int i = 0; i < 6; ++i) {
        counted.push_back(static_cast<int>(random.negative_binomial(40, 25)));
      }
      limbs.add(counted, 20);
    }
    const double cv = std::sqrt(1 / 25.0 + 1 / 40.0);
    CHECK(std::sqrt(limbs.variance()) == doctest::Approx(cv).epsilon(0.06));
  }

  TEST_CASE("what some limbs leave open falls with their number and is nothing for all of them") {
    CHECK(part_variance(0.2, 0, 0) == 0);   // a whole count
    CHECK(part_variance(0.2, 20, 20) == 0);
    CHECK(part_variance(0.2, 5, 20) == doctest::Approx(0.2 * 0.75 * (0.2 - 0.05)));
    CHECK(part_variance(0.2, 3, 20) > part_variance(0.2, 4, 20));
  }
}
