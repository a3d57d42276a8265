// SPDX-License-Identifier: Apache-2.0
//
// Gauss-Legendre nodes and weights on an interval cut into equal panels of 30 nodes each, from
// Boost.Math's tables: for the integral equations of run lengths.
//
//   GaussNodes nodes = gauss_nodes(0, h, 2);
//   for (size_t i = 0; i < nodes.at.size(); ++i) sum += nodes.weight[i] * f(nodes.at[i]);
#pragma once

#include <cstddef>
#include <vector>

namespace nthtree::stats {

struct GaussNodes {
  std::vector<double> at;
  std::vector<double> weight;
};

// low < high, panels >= 1.
GaussNodes gauss_nodes(double low, double high, std::size_t panels);

}  // namespace nthtree::stats
