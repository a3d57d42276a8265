// SPDX-License-Identifier: Apache-2.0
#include "orchard/limits.h"

#include <cmath>

#include "base/text.h"

namespace nthtree::orchard {

namespace {

std::string allowed_text(Range range) {
  return base::shortest(range.low) + " to " + base::shortest(range.high) + " is allowed";
}

}  // namespace

std::string outside_text(double value, Range range) {
  return base::shortest(value) + " is out of range: " + allowed_text(range);
}

std::optional<base::Error> refuse_outside(double value, Range range, std::string_view field) {
  if (!std::isfinite(value)) {
    return base::Error{"not_a_number", "is not a number: " + allowed_text(range),
                       std::string(field)};
  }
  if (range.holds(value)) return std::nullopt;
  return base::Error{"out_of_range", outside_text(value, range), std::string(field)};
}

}  // namespace nthtree::orchard
