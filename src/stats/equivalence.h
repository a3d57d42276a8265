// SPDX-License-Identifier: Apache-2.0
//
// Two one-sided tests: is a mean (or a difference) shown to lie inside bounds?
//
// Not showing a difference is not showing equivalence: "shown" needs both one-sided t tests at
// alpha, which is the same as the 1 - 2 alpha interval lying inside the bounds. Source: Schuirmann
// (1987) J. Pharmacokin. Biopharm. 15:657; Welch (1947) Biometrika 34:28 for unequal variances.
//
//   auto accepted = equivalence_one_sample(counts, {162, 198}, 0.05);
//   if (accepted && accepted->shown) …
#pragma once

#include <cstddef>
#include <span>

#include "stats/interval.h"

namespace nthtree::stats {

struct Equivalence {
  double estimate = 0;        // the mean, or the difference of means
  double standard_error = 0;
  double df = 0;
  double t_low = 0;           // against the lower bound; large says above it
  double p_low = 1;
  double t_high = 0;          // against the upper bound; very negative says below it
  double p_high = 1;
  double p_value = 1;         // the larger of the two
  Interval interval;          // at 1 - 2 alpha
  bool shown = false;         // p_value <= alpha
};

struct SampleSummary {
  double mean = 0;
  double sd = 0;      // >= 0
  std::size_t n = 0;  // >= 2
};

// bounds are in the unit of the mean; low < high; 0 < alpha < 0.5. `population` >= n shrinks the
// standard error by the finite population correction; infinite by default (0 is read as infinite).
// A standard error of 0 is certain: the answer is whether the estimate lies inside.
Result<Equivalence> equivalence_one_sample(std::span<const double> values, const Interval& bounds,
                                           double alpha = 0.05, double population = 0);
Result<Equivalence> equivalence_one_sample(const SampleSummary& sample, const Interval& bounds,
                                           double alpha = 0.05, double population = 0);
// bounds on mean(a) - mean(b). Welch's degrees of freedom unless `pooled`.
Result<Equivalence> equivalence_two_samples(std::span<const double> a, std::span<const double> b,
                                            const Interval& bounds, double alpha = 0.05,
                                            bool pooled = false);
Result<Equivalence> equivalence_two_samples(const SampleSummary& a, const SampleSummary& b,
                                            const Interval& bounds, double alpha = 0.05,
                                            bool pooled = false);
// Pairs in the same order; bounds on the mean of a_i - b_i.
Result<Equivalence> equivalence_paired(std::span<const double> a, std::span<const double> b,
                                       const Interval& bounds, double alpha = 0.05);
// From summaries of both and their correlation (-1 … 1); n of `a` is used.
Result<Equivalence> equivalence_paired(const SampleSummary& a, const SampleSummary& b,
                                       double correlation, const Interval& bounds,
                                       double alpha = 0.05);
// Any estimate with standard error >= 0 and df > 0 (infinite allowed), for instance from double
// sampling.
Result<Equivalence> equivalence_from_estimate(double estimate, double standard_error, double df,
                                              const Interval& bounds, double alpha = 0.05);

}  // namespace nthtree::stats
