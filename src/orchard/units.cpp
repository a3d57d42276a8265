// SPDX-License-Identifier: Apache-2.0
#include "orchard/units.h"

#include <algorithm>
#include <cmath>

namespace nthtree::orchard {

double whole_half_up(double value) {
  // A relative slack of 1e-12 is a thousand times the rounding of two products and far below any
  // number a person types.
  return std::floor(value + 0.5 + 1e-12 * std::max(1.0, std::fabs(value)));
}

}  // namespace nthtree::orchard
