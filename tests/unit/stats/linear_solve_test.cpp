// SPDX-License-Identifier: Apache-2.0
#include "stats/linear_solve.h"

#include <doctest/doctest.h>

#include "base/random.h"

using namespace nthtree::stats;

TEST_SUITE("stats") {
  TEST_CASE("the solution put back gives the right side") {
    nthtree::base::Random random(90);
    for (std::size_t n : {1, 2, 5, 40}) {
      std::vector<double> matrix(n * n), right(n);
      for (double& x : matrix) x = random.normal();
      for (double& x : right) x = random.normal();
      auto work = matrix;
      auto solution = right;
      REQUIRE(solve_in_place(work, solution));
      for (std::size_t i = 0; i < n; ++i) {
        double sum = 0;
        for (std::size_t j = 0; j < n; ++j) sum += matrix[i * n + j] * solution[j];
        CHECK(sum == doctest::Approx(right[i]).epsilon(1e-9));
      }
    }
  }

  TEST_CASE("a zero on the diagonal is no obstacle, a singular matrix is told") {
    std::vector<double> swap = {0, 1, 1, 0}, right = {3, 4};
    REQUIRE(solve_in_place(swap, right));
    CHECK(right[0] == 4);
    std::vector<double> singular = {1, 1, 1, 1}, b = {1, 2};
    CHECK_FALSE(solve_in_place(singular, b));
  }
}
