// SPDX-License-Identifier: Apache-2.0
//
// Shewhart charts: limits at three (or L) standard deviations, without memory.
//
// Kept as the rival that every crew knows, and for large sudden steps; small steps are for
// cusum.h and ewma.h. Constants d2 and d3 of the range are integrated, not tabled; tables print
// them to three decimals, so a page's limits may differ in the fourth figure. Sources:
// NIST/SEMATECH e-Handbook 6.3.2 and 6.3.3; Montgomery, Introduction to Statistical Quality
// Control.
//
//   auto limits = individuals_chart(values);
//   if (limits && !limits->inside(value)) …
#pragma once

#include <cstddef>
#include <span>

#include "stats/interval.h"

namespace nthtree::stats {

struct ControlLimits {
  double centre = 0;
  double low = 0;
  double high = 0;
  double sigma = 0;           // the standard deviation that the limits were built on
  double mean_range = 0;      // moving or within-group range; 0 for counts
  bool inside(double value) const { return low <= value && value <= high; }
};

// Mean and standard deviation of the range of n >= 2 standard normal values (n <= 1000).
double range_d2(std::size_t n);
double range_d3(std::size_t n);

// Single values, sigma from the mean moving range over d2(2). Two values or more, width > 0.
Result<ControlLimits> individuals_chart(std::span<const double> values, double width = 3);
// Means of groups of `group_size` >= 2 values laid one after another; sigma from the mean range.
Result<ControlLimits> mean_chart(std::span<const double> values, std::size_t group_size,
                                 double width = 3);
// Counts per equal unit: mean ± width √mean, low end not below 0.
Result<ControlLimits> count_chart(std::span<const double> counts, double width = 3);
// Overdispersed counts: sigma² = mean + mean²/k around a given mean > 0, k > 0 or infinite.
Result<ControlLimits> count_chart(double mean, double k, double width = 3);

// Average run length of limits at ±width when the mean has moved by `shift` standard deviations.
double shewhart_run_length(double shift, double width = 3);

}  // namespace nthtree::stats
