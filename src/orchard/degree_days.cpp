// SPDX-License-Identifier: Apache-2.0
#include "orchard/degree_days.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/result.h"

namespace nthtree::orchard {
namespace {

// Mean height of the day's curve above one threshold.
double mean_above(const DayTemperatures& day, double threshold, DayCurve curve) {
  const double mean = (day.low + day.high) / 2;
  const double amplitude = (day.high - day.low) / 2;
  if (day.low >= threshold) return mean - threshold;
  if (day.high <= threshold) return 0;
  if (curve == DayCurve::triangle) {
    return (day.high - threshold) * (day.high - threshold) / (2 * (day.high - day.low));
  }
  constexpr double pi = std::numbers::pi;
  const double crossing = std::asin((threshold - mean) / amplitude);
  return ((mean - threshold) * (pi / 2 - crossing) + amplitude * std::cos(crossing)) / pi;
}

}  // namespace

double degree_days(const DayTemperatures& day, const Thresholds& thresholds, DayCurve curve) {
  NTHTREE_ASSERT(day.low <= day.high && thresholds.lower < thresholds.upper);
  const double above = mean_above(day, thresholds.lower, curve);
  return std::isinf(thresholds.upper) ? above : above - mean_above(day, thresholds.upper, curve);
}

double degree_days_double(const DayTemperatures& day, double next_low,
                          const Thresholds& thresholds, DayCurve curve) {
  // A night that is warmer than the day before it turns the second half over.
  const DayTemperatures down{std::min(next_low, day.high), std::max(next_low, day.high)};
  return (degree_days(day, thresholds, curve) + degree_days(down, thresholds, curve)) / 2;
}

}  // namespace nthtree::orchard
