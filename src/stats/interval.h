// SPDX-License-Identifier: Apache-2.0
//
// A two-sided interval and the few words on arguments that every method of this folder shares.
//
//   Interval band = {162, 198};
//   if (band.holds(171)) …
#pragma once

#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <string>

#include "base/result.h"

namespace nthtree::stats {

using base::Error;
using base::Result;

inline constexpr double infinity = std::numeric_limits<double>::infinity();

// low <= high; either end may be infinite where nothing limits it.
struct Interval {
  double low = 0;
  double high = 0;

  double width() const { return high - low; }
  double half_width() const { return (high - low) / 2; }
  bool holds(double value) const { return low <= value && value <= high; }
  bool holds(const Interval& other) const { return low <= other.low && other.high <= high; }
  friend bool operator==(const Interval&, const Interval&) = default;
};

// Values beyond this size are refused: their third powers still fit a double, so nothing overflows
// into infinity and no difference of infinities becomes NaN. Sizes below its inverse count as 0.
constexpr double value_size_max = 1e90;

// Error builders: `name` is the argument as the caller's header spells it.
Error too_few(const char* name, std::size_t held, std::size_t wanted);
Error out_of_range(const char* name, double value, const char* allowed);
Error not_finite(const char* name, std::size_t index);

// Nothing when all values are finite, within ±value_size_max, and at least `wanted`.
std::optional<Error> check_values(std::span<const double> values, const char* name,
                                  std::size_t wanted);
// The same, and every value is zero or more (a count or a size).
std::optional<Error> check_counts(std::span<const double> values, const char* name,
                                  std::size_t wanted);
// Nothing when 0 < confidence < 1.
std::optional<Error> check_confidence(double confidence);
// Nothing when value lies between 1 / value_size_max and value_size_max.
std::optional<Error> check_positive(double value, const char* name);
// Nothing when value is strictly between 0 and 1.
std::optional<Error> check_open_unit(double value, const char* name);

}  // namespace nthtree::stats
