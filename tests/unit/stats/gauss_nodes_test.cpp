// SPDX-License-Identifier: Apache-2.0
#include "stats/gauss_nodes.h"

#include <doctest/doctest.h>

#include <cmath>

using namespace nthtree::stats;

TEST_SUITE("stats") {
  TEST_CASE("polynomials and a bell curve are integrated to the last digits") {
    for (std::size_t panels : {1, 3}) {
      const GaussNodes nodes = gauss_nodes(-1, 3, panels);
      CHECK(nodes.at.size() == 30 * panels);
      double length = 0, power = 0, bell = 0;
      for (std::size_t i = 0; i < nodes.at.size(); ++i) {
        length += nodes.weight[i];
        power += nodes.weight[i] * std::pow(nodes.at[i], 10);
        bell += nodes.weight[i] * std::exp(-nodes.at[i] * nodes.at[i]);
      }
      CHECK(length == doctest::Approx(4).epsilon(1e-14));
      CHECK(power == doctest::Approx((std::pow(3.0, 11) + 1) / 11).epsilon(1e-13));
      CHECK(bell == doctest::Approx(std::sqrt(std::acos(-1)) / 2 * (std::erf(3) + std::erf(1)))
                        .epsilon(1e-12));
    }
  }
}
