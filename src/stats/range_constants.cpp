// SPDX-License-Identifier: Apache-2.0
#include "stats/range_constants.h"

#include <algorithm>
#include <cmath>

#include "base/result.h"
#include "stats/gauss_nodes.h"
#include "stats/quantiles.h"

namespace nthtree::stats {
namespace {

// Beyond ±9 a normal value has a chance of 1e-19: nothing to integrate.
constexpr double reach = 9;

}  // namespace

double range_d2(std::size_t n) {
  NTHTREE_ASSERT(n >= 2 && n <= 1000);
  // E[range] = ∫ 1 - Φ^n - (1-Φ)^n (Tippett 1925, Biometrika 17:364).
  const double size = static_cast<double>(n);
  const GaussNodes nodes = gauss_nodes(-reach, reach, 4);
  double sum = 0;
  for (std::size_t i = 0; i < nodes.at.size(); ++i) {
    sum += nodes.weight[i] * (1 - std::pow(normal_cdf(nodes.at[i]), size) -
                              std::pow(normal_cdf(-nodes.at[i]), size));
  }
  return sum;
}

double range_d3(std::size_t n) {
  NTHTREE_ASSERT(n >= 2 && n <= 1000);
  // E[range²] = 2 ∫∫_{x<y} 1 - Φ(y)^n - (1-Φ(x))^n + (Φ(y)-Φ(x))^n.
  const double size = static_cast<double>(n);
  const GaussNodes outer = gauss_nodes(-reach, reach, 4);
  double second = 0;
  for (std::size_t i = 0; i < outer.at.size(); ++i) {
    const double y = outer.at[i];
    const GaussNodes inner = gauss_nodes(-reach, y, 4);
    double sum = 0;
    for (std::size_t j = 0; j < inner.at.size(); ++j) {
      const double x = inner.at[j];
      sum += inner.weight[j] *
             (1 - std::pow(normal_cdf(y), size) - std::pow(normal_cdf(-x), size) +
              std::pow(normal_cdf(y) - normal_cdf(x), size));
    }
    second += 2 * outer.weight[i] * sum;
  }
  const double d2 = range_d2(n);
  return std::sqrt(std::max(0.0, second - d2 * d2));
}

}  // namespace nthtree::stats
