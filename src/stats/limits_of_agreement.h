// SPDX-License-Identifier: Apache-2.0
//
// How far two ways of measuring the same units may lie apart: limits that hold the difference of
// 19 in 20 pairs. A correlation does not tell that; these do.
//
// Mean difference ± z sd; standard error of a limit √(sd² (1/n + z²/(2 (n - 1)))), which for z = 2
// the paper rounds to √(3 sd²/n); intervals by Student's t with n - 1. Assumes differences that are
// about normal and no larger where the units are: for counts give logarithms, and the limits are of
// the ratio. Several pairs of one person are taken as if they were independent. Source: J. M. Bland
// and D. G. Altman, Lancet 1 (1986) 307.
//
//   auto limits = limits_of_agreement(recounts, tags);
//   if (limits) show(limits->low, limits->high);
#pragma once

#include <cstddef>
#include <span>

#include "stats/interval.h"

namespace nthtree::stats {

struct LimitsOfAgreement {
  std::size_t n = 0;
  double mean = 0;             // of a - b: what they are apart on average
  double sd = 0;               // of the differences
  double low = 0, high = 0;    // the limits
  double standard_error = 0;        // of the mean
  double limit_standard_error = 0;  // of either limit
  Interval mean_interval, low_interval, high_interval;
  // Does the difference grow with the size? Correlation of difference and mean of each pair.
  double size_correlation = 0;
};

// a and b: in the same order, three pairs or more. z: of the share of pairs inside, above 0.
// Errors: too_few_values, not_finite, out_of_range.
Result<LimitsOfAgreement> limits_of_agreement(std::span<const double> a, std::span<const double> b,
                                              double z = 1.959963984540054,
                                              double confidence = 0.95);

}  // namespace nthtree::stats
