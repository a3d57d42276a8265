// SPDX-License-Identifier: Apache-2.0
#include "stats/assignment.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <numeric>
#include <set>

#include "base/random.h"

using namespace nthtree::stats;

namespace {

using Costs = std::vector<std::vector<double>>;

// By trying every order of the columns: the oracle for small tables.
double least_by_trying(const Costs& costs) {
  std::vector<std::size_t> order(costs.front().size());
  std::iota(order.begin(), order.end(), 0);
  double least = infinity;
  do {
    double cost = 0;
    for (std::size_t row = 0; row < costs.size(); ++row) cost += costs[row][order[row]];
    least = std::min(least, cost);
  } while (std::next_permutation(order.begin(), order.end()));
  return least;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("as cheap as the cheapest of all orders, each row a column of its own") {
    nthtree::base::Random random(5);
    for (int run = 0; run < 300; ++run) {
      const std::size_t columns = 1 + static_cast<std::size_t>(random.below(6));
      const std::size_t rows = 1 + static_cast<std::size_t>(random.below(
          static_cast<std::uint32_t>(columns)));
      Costs costs(rows, std::vector<double>(columns));
      // Few different costs, so that ties are common, and negative ones among them.
      for (auto& row : costs) {
        for (double& cost : row) cost = static_cast<double>(random.below(8)) - 3;
      }
      const auto best = least_cost_assignment(costs);
      REQUIRE(best.ok());
      CHECK(best->cost == doctest::Approx(least_by_trying(costs)));
      const std::set<std::size_t> used(best->column_of_row.begin(), best->column_of_row.end());
      CHECK(used.size() == rows);
    }
  }

  TEST_CASE("a table that cannot be assigned says why") {
    CHECK(least_cost_assignment({}).error().id == "too_few_values");
    CHECK(least_cost_assignment({{1}, {2}}).error().id == "out_of_range");
    CHECK(least_cost_assignment({{1, 2}, {3}}).error().id == "out_of_range");
    CHECK(least_cost_assignment({{1, infinity}}).error().id == "not_finite");
    CHECK_FALSE(least_cost_assignment({std::vector<double>(assignment_side_max + 1)}).ok());
    CHECK(least_cost_assignment({std::vector<double>(assignment_side_max)}).ok());
  }
}
