// SPDX-License-Identifier: Apache-2.0
//
// What is believed of a mean after some observations: sequential conjugate updates.
//
// NormalBelief is for observations whose variance is known (or estimated elsewhere); precision 0
// means that nothing is known. NormalGammaBelief learns the variance too and gives Student t
// answers. Neither models skewness: feed logarithms or another stabilised scale where counts are
// skewed. Source: Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, sections 2.5 and 3.3.
//
//   NormalBelief belief = NormalBelief::about(180, 20 * 20);
//   belief = observe(belief, 231, 35 * 35);
//   Shares where = shares(belief, {162, 198});   // where.above: chance to lie over the band
#pragma once

#include "stats/interval.h"

namespace nthtree::stats {

// Chances that the mean lies below, inside and above a band; they add up to 1.
struct Shares {
  double below = 0;
  double inside = 1;
  double above = 0;
};

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
// The mean may have moved meanwhile: adds a variance (>= 0) to the belief.
NormalBelief loosen(const NormalBelief& belief, double variance);
// Older knowledge counts for less: multiplies the precision by `kept` in [0, 1].
NormalBelief fade(const NormalBelief& belief, double kept);

// band.low <= band.high. A belief of precision 0 splits evenly between below and above.
Shares shares(const NormalBelief& belief, const Interval& band);
// P(|mean| > d), d >= 0.
double chance_beyond(const NormalBelief& belief, double d);
Interval credible_interval(const NormalBelief& belief, double confidence);
// Chance that mean A is larger than mean B, the two independent.
double chance_larger(const NormalBelief& a, const NormalBelief& b);

// Mean and variance both unknown. mean | variance ~ N(centre, variance / weight),
// 1 / variance ~ Gamma(shape, rate). weight > 0, shape > 0, rate > 0 for a proper belief;
// weight 0 with shape -1/2 and rate 0 is the usual flat start (proper from two unlike values on).
struct NormalGammaBelief {
  double centre = 0;
  double weight = 0;
  double shape = -0.5;
  double rate = 0;

  bool proper() const { return weight > 0 && shape > 0 && rate > 0; }
  double df() const { return 2 * shape; }
  double scale() const;           // of the t distribution of the mean; proper() must hold
  double variance_mean() const;   // rate / shape: the working value of the variance
  // A guess of the mean worth `values` observations and of the sd worth `values_sd` of them.
  static NormalGammaBelief about(double mean, double values, double sd, double values_sd);
};

NormalGammaBelief observe(const NormalGammaBelief& belief, double value);
// `kept` in [0, 1] of the weight and of the knowledge about the variance.
NormalGammaBelief fade(const NormalGammaBelief& belief, double kept);
Shares shares(const NormalGammaBelief& belief, const Interval& band);
Interval credible_interval(const NormalGammaBelief& belief, double confidence);
// Chances for the next value, not for the mean.
Shares shares_of_next(const NormalGammaBelief& belief, const Interval& band);

}  // namespace nthtree::stats
