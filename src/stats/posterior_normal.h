// SPDX-License-Identifier: Apache-2.0
//
// What is believed of a mean after some observations: sequential conjugate updates.
//
// For observations whose variance is known (or estimated elsewhere); precision 0 means that nothing
// is known. Does not model skewness: feed logarithms or another stabilised scale where counts are
// skewed. Source: Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, section 2.5.
//
//   NormalBelief belief = NormalBelief::about(180, 20 * 20);
//   belief = observe(belief, 231, 35 * 35);   // belief.mean, belief.sd()
#pragma once

#include "stats/interval.h"

namespace nthtree::stats {

// A normal distribution by mean and precision (1 / variance, >= 0).
struct NormalBelief {
  double mean = 0;
  double precision = 0;

  // variance > 0; infinite means nothing is known.
  static NormalBelief about(double mean, double variance);
  double variance() const;  // infinite when precision is 0
  double sd() const;
};

// After one more value that scatters around the mean with the given variance (> 0; infinite
// changes nothing).
NormalBelief observe(const NormalBelief& belief, double value, double variance);
// Two independent beliefs about the same mean.
NormalBelief combine(const NormalBelief& a, const NormalBelief& b);

}  // namespace nthtree::stats
