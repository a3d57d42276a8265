// SPDX-License-Identifier: Apache-2.0
//
// Who does what, so that the costs add up to the least: each row gets a column of its own.
//
// Exact, in O(rows² columns): the Hungarian method (H. W. Kuhn, Naval Research Logistics Quarterly
// 2, 1955) by shortest augmenting paths with dual prices (R. Jonker and A. Volgenant, Computing 38,
// 1987). A library that does this brings 10 to 30 KB of WebAssembly for these sixty lines.
// Not for: a row that needs several columns, or costs that depend on each other.
//
//   auto best = least_cost_assignment({{4, 1, 3}, {2, 0, 5}, {3, 2, 2}});
//   best->column_of_row;   // 1, 0, 2
//   best->cost;            // 5
#pragma once

#include <cstddef>
#include <vector>

#include "stats/interval.h"

namespace nthtree::stats {

constexpr std::size_t assignment_side_max = 500;  // tens of gangs and blocks; 500 take some 50 ms

struct Assignment {
  std::vector<std::size_t> column_of_row;
  double cost = 0;  // the sum of the costs chosen
};

// costs: rows of equal length, at least as many columns as rows, every cost finite (negative ones
// too). Errors: too_few_values (no row), out_of_range (ragged, more rows than columns, too large),
// not_finite.
Result<Assignment> least_cost_assignment(const std::vector<std::vector<double>>& costs);

}  // namespace nthtree::stats
