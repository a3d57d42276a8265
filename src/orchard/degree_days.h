// SPDX-License-Identifier: Apache-2.0
//
// Warmth of a day above a threshold, from its lowest and highest temperature.
//
// A day is drawn as a triangle or a sine through its two readings; what lies above `lower` (and,
// with a horizontal cutoff, below `upper`) is the day's warmth. Single: one curve a day, min to
// max. Double: half of it towards the next morning's min. Any unit of temperature, the same
// throughout; degree-days in °F are 1.8 times those in °C. Sources: Baskerville and Emin, Ecology
// 50:514 (1969) for the sine; the University of California's guide to degree-day methods for
// triangle and cutoffs. Does not model the hours: a forecast from it is days loose.
//
//   double warmth = degree_days({44, 76}, {50, 70}, DayCurve::sine);   // 10.00
#pragma once

#include <limits>

namespace nthtree::orchard {

struct DayTemperatures {
  double low = 0;
  double high = 0;  // low or more
};

struct Thresholds {
  double lower = 0;
  double upper = std::numeric_limits<double>::infinity();  // horizontal cutoff: no more above it
};

enum class DayCurve { triangle, sine };

// Green tip, bloom and the like: degree-days since a fixed day. 43 °F, as the stages of McIntosh
// are given by the extension services of New York and Massachusetts; 6.111 °C, not 6.
inline constexpr double apple_base_f = 43;
inline constexpr double apple_base_c = (apple_base_f - 32) / 1.8;

// Degree-days of one day; 0 or more. day.low <= day.high, thresholds.lower < thresholds.upper.
double degree_days(const DayTemperatures& day, const Thresholds& thresholds, DayCurve curve);

// The mean of the curve up and the curve down to the next morning's low.
double degree_days_double(const DayTemperatures& day, double next_low,
                          const Thresholds& thresholds, DayCurve curve);

}  // namespace nthtree::orchard
