// SPDX-License-Identifier: Apache-2.0
//
// What the range of a few normal values says of their standard deviation: the constants of
// average-and-range sheets (variance_components.h).
//
// Source: L. H. C. Tippett (1925) Biometrika 17:364, as integrals over the normal distribution.
//
//   const double sd = mean_range / range_d2(readings);
#pragma once

#include <cstddef>

namespace nthtree::stats {

// Mean and standard deviation of the range of n >= 2 standard normal values (n <= 1000).
double range_d2(std::size_t n);
double range_d3(std::size_t n);

}  // namespace nthtree::stats
