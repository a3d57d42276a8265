// SPDX-License-Identifier: Apache-2.0
//
// Partial pooling: estimates of several groups, each with its own standard error, are drawn
// towards their common mean as far as the spread between groups warrants (empirical Bayes for
// normal means).
//
// Feed logarithms of ratios, logits of proportions. Groups are taken as exchangeable: leave out a
// group known to be different in kind. The interval of a shrunk estimate carries the uncertainty
// of the common mean and, after Morris (1983) JASA 78:47, eq. 4.2, that of the amount of shrinkage.
// Between-group variance: DerSimonian and Laird (1986) Controlled Clin. Trials 7:177, or Paule and
// Mandel (1982) J. Res. NBS 87:377, which solves Q(tau²) = m - 1 and is the default.
//
//   auto pooled = shrink(estimates);
//   if (pooled) for (const Shrunk& s : pooled->groups) show(s.estimate, s.interval);
#pragma once

#include <cstddef>
#include <limits>
#include <span>
#include <vector>

#include "stats/interval.h"

namespace nthtree::stats {

struct GroupEstimate {
  double estimate = 0;
  double standard_error = 0;  // > 0
};

enum class BetweenMethod { paule_mandel, dersimonian_laird };

struct Shrunk {
  double estimate = 0;
  double standard_error = 0;
  Interval interval;
  double weight_own = 0;  // 0 … 1: how much of the group's own estimate was kept
};

struct Pooled {
  double mean = 0;             // of the groups
  double standard_error = 0;   // of that mean
  Interval interval;           // of that mean
  double between_variance = 0; // tau², >= 0 (the posterior mean when integrated)
  double q = 0;                // Cochran's Q against equal groups, m - 1 degrees of freedom
  double p_value_equal = 1;    // of Q
  double share_between = 0;    // I² = max(0, (Q - (m - 1)) / Q)
  std::vector<Shrunk> groups;  // in the order given
  // Variance of a group never seen before, about `mean`.
  double new_group_variance() const { return standard_error * standard_error + between_variance; }
};

// One group or more; a single group is given back as it came (nothing to learn tau² from, so the
// caller may pass `between_variance_prior`, the value used then; it must be >= 0, infinite keeps
// the group's own estimate). Errors: too_few_values, not_finite, out_of_range.
Result<Pooled> shrink(std::span<const GroupEstimate> groups, double confidence = 0.95,
                      BetweenMethod method = BetweenMethod::paule_mandel,
                      double between_variance_prior =
                          std::numeric_limits<double>::infinity());

// The same with the between-group sd integrated out instead of estimated: a half-normal prior of
// scale `between_sd_prior` (what groups may plausibly differ by) on it, a flat one on the mean
// (Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, sections 5.4 and 5.7). With two to ten
// groups this covers where plug-in estimates do not, because an estimate of 0 is not believed
// outright. Intervals take the mixture's mean and variance, with t of `df` (those behind the
// standard errors; infinite allowed). Works for a single group too.
struct IntegratedOptions {
  double confidence = 0.95;
  double between_sd_prior = 0;  // > 0, must be given
  double df = std::numeric_limits<double>::infinity();
};
Result<Pooled> shrink_integrated(std::span<const GroupEstimate> groups,
                                 const IntegratedOptions& options);

// The between-group variance alone, two groups or more.
Result<double> between_variance(std::span<const GroupEstimate> groups, BetweenMethod method);

}  // namespace nthtree::stats
