// SPDX-License-Identifier: Apache-2.0
//
// How much of the truth a counter counts: the ratio of check counts to tag counts on the same
// units, with an interval, per counter and pooled over counters.
//
// A tag count times the ratio estimates what the check would have found. The check count is taken
// as right on average. Ratios are treated on the log scale, where they are near symmetric and
// where partial pooling is done (shrinkage.h). The ratio of sums is used, not the mean of ratios.
// Source: ratio estimator and its linearised variance, Cochran, Sampling Techniques, 3rd ed. 1977,
// section 6.3 (from memory); jackknife and small-sample choice measured in tests/simulation.
//
//   auto ratio = counting_ratio(pairs);
//   if (ratio) show(ratio->ratio, ratio->interval.low, ratio->interval.high);
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "stats/interval.h"
#include "stats/shrinkage.h"

namespace nthtree::stats {

struct CountPair {
  double check = 0;  // >= 0, the better count
  double tag = 0;    // >= 0, the cheap count
};

struct CountingRatio {
  double ratio = 1;               // sum of checks / sum of tags
  double log_ratio = 0;
  double log_standard_error = 0;
  double df = 0;                  // behind the standard error
  Interval interval;              // of the ratio
  std::size_t pairs = 0;
  double residual_cv = 0;         // scatter of one pair about the ratio, relative
};

// Two pairs or more, with sums above zero. Errors: too_few_values, out_of_range, not_finite.
Result<CountingRatio> counting_ratio(std::span<const CountPair> pairs, double confidence = 0.95);

struct PooledRatio {
  double ratio = 1;      // after partial pooling
  double log_ratio = 0;
  double log_standard_error = 0;
  Interval interval;
  double weight_own = 0;
};

struct PooledRatios {
  double ratio = 1;                 // of a typical counter
  Interval interval;
  double between_log_sd = 0;        // spread between counters
  std::vector<PooledRatio> counters;
  PooledRatio new_counter;          // what is believed of one never checked
};

// pairs[i] are counter i's; counters with fewer than two pairs borrow the pooled scatter for their
// standard error, counters with none take the new counter's belief. At least two pairs in all.
Result<PooledRatios> pool_counting_ratios(std::span<const std::vector<CountPair>> pairs,
                                          double confidence = 0.95);

}  // namespace nthtree::stats
