// SPDX-License-Identifier: Apache-2.0
//
// A proportion from a cluster sample: clusters drawn at random, inside each cluster one or more
// parts with successes out of trials.
//
// Trials of one cluster resemble each other, so the clusters, not the trials, are the sample
// size: the variance is taken between clusters ("ultimate clusters"; a second stage inside them
// needs no term of its own when few of many clusters are drawn). The estimate is the ratio of sums;
// v = m/(m-1) Σ(y_i - p n_i)² / (Σ n_i)² (Cochran, Sampling Techniques, 3rd ed. 1977, section
// 3.12, from memory). The interval stands on the logit scale, with t and a half width between the
// plain logit's h, which covers too much, and Wilson's, which is symmetric on that scale too, with
// 2 arsinh(h/2) (R. G. Newcombe, Statistics in Medicine 17, 1998, p. 857, from memory; a test
// confirms it), and covers too little where clusters differ much. Chosen by measured coverage at 5
// clusters of 2 parts (tests/simulation/coverage; README.md has the figures).
//
//   std::vector<ClusterPart> parts = {{0, 14, 20}, {0, 12, 18}, {1, 9, 21}, …};
//   auto floral = cluster_proportion(parts);
//   if (floral) show(floral->proportion, floral->interval, floral->design_effect);
//   int more = clusters_for_half_width(*floral, 0.05) - floral->clusters;
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "stats/interval.h"

namespace nthtree::stats {

struct ClusterPart {
  std::size_t cluster = 0;  // any label; parts with the same label belong together
  double successes = 0;     // 0 … trials
  double trials = 0;        // 0 … 1e6; a part without trials is left out
};

enum class ClusterIntervalMethod {
  recommended,      // what the coverage study chose: logit half width 2.5 arsinh(h / 2.5)
  logit_t,          // logit scale, linearised variance, t with m - 1 degrees of freedom: h
  wilson_t,         // Wilson with that variance's own design effect and t: 2 arsinh(h / 2)
  korn_graubard,    // Clopper-Pearson at the effective size, cut by (z/t)²
  wilson_effective, // Wilson at the effective size, cut by (z/t)²
};

struct ClusterProportion {
  double proportion = 0;
  double standard_error = 0;
  Interval interval;
  double confidence = 0.95;
  double df = 0;                 // clusters - 1
  std::size_t clusters = 0;
  std::size_t parts = 0;
  double trials = 0;
  double design_effect = 1;      // variance over that of independent trials; raw, may be below 1
  double n_effective = 0;        // p(1-p) / v, at most trials; half of them if v is 0: no spread
                                 // seen, as when all succeed, is no proof that there is none
  // Analysis-of-variance split of a single trial's variance (0 where it cannot be told):
  double correlation_in_cluster = 0;  // between trials of one cluster, other part
  double correlation_in_part = 0;     // further likeness inside one part
};

// What of the logit's half width h is left by the recommended interval: c arsinh(h / c).
inline constexpr double logit_drawn_in_at = 2.5;
double drawn_in_half_width(double logit_half_width);

// Two clusters with trials or more. Errors: too_few_values, out_of_range, not_finite.
Result<ClusterProportion> cluster_proportion(
    std::span<const ClusterPart> parts, double confidence = 0.95,
    ClusterIntervalMethod method = ClusterIntervalMethod::recommended);

// Clusters in all that bring the half-width of the interval down to `half_width` (0 < half_width
// < 1), if further clusters are like the ones seen: t with the new degrees of freedom, iterated.
// With no variance seen, the binomial variance is the floor. Never fewer than two, never more
// than 100,000.
Result<std::size_t> clusters_for_half_width(const ClusterProportion& seen, double half_width);

// The same cluster seen in two strata (say, above and below).
struct StratumPair {
  double successes_a = 0;
  double trials_a = 0;
  double successes_b = 0;
  double trials_b = 0;
};

struct StrataTest {
  double proportion_a = 0;
  double proportion_b = 0;
  double difference = 0;     // a - b, of the two ratio estimates
  double standard_error = 0; // over clusters, so that likeness inside a cluster cancels
  Interval interval;
  double t = 0;
  double df = 0;
  double p_value = 1;        // two-sided
  std::size_t clusters = 0;  // with trials in both strata
};

// Clusters lacking trials in a stratum are left out; two complete ones are needed.
Result<StrataTest> compare_strata(std::span<const StratumPair> clusters,
                                  double confidence = 0.95);

}  // namespace nthtree::stats
