// SPDX-License-Identifier: Apache-2.0
#include "stats/gauss_nodes.h"

#include <boost/math/quadrature/gauss.hpp>

#include "stats/policy.h"

namespace nthtree::stats {

GaussNodes gauss_nodes(double low, double high, std::size_t panels) {
  using Rule = boost::math::quadrature::gauss<double, 30, Policy>;
  GaussNodes nodes;
  const double half = (high - low) / (2 * static_cast<double>(panels));
  for (std::size_t panel = 0; panel < panels; ++panel) {
    const double centre = low + half * (2 * static_cast<double>(panel) + 1);
    // The tables hold the positive half of the symmetric rule.
    for (std::size_t i = 0; i < Rule::abscissa().size(); ++i) {
      for (double side : {-1.0, 1.0}) {
        nodes.at.push_back(centre + side * half * Rule::abscissa()[i]);
        nodes.weight.push_back(half * Rule::weights()[i]);
      }
    }
  }
  return nodes;
}

}  // namespace nthtree::stats
