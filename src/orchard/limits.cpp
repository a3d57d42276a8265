// SPDX-License-Identifier: Apache-2.0
#include "orchard/limits.h"

#include <cmath>

#include "base/text.h"

namespace nthtree::orchard {

std::optional<base::Error> refuse_outside(double value, Range range, std::string_view field) {
  const std::string allowed =
      base::shortest(range.low) + " to " + base::shortest(range.high) + " is allowed";
  if (!std::isfinite(value)) {
    return base::Error{"not_a_number", "is not a number: " + allowed, std::string(field)};
  }
  if (value >= range.low && value <= range.high) return std::nullopt;
  return base::Error{"out_of_range", base::shortest(value) + " is out of range: " + allowed,
                     std::string(field)};
}

}  // namespace nthtree::orchard
