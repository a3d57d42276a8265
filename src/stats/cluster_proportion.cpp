// SPDX-License-Identifier: Apache-2.0
#include "stats/cluster_proportion.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "stats/proportion.h"
#include "stats/quantiles.h"

namespace nthtree::stats {
namespace {

constexpr std::size_t clusters_max = 100000;
// Outside these no tally of trials can be meant, and inside them nothing over- or underflows.
constexpr double trials_min = 1e-6;
constexpr double trials_max = 1e6;
// Between Wilson's 2 and the logit's infinity; with 2.5 the coverage is off by least over
// proportions of 0.40 to 0.85 and likenesses of 0 to 0.20, at 95 % and at 90 %.
constexpr double drawn_to = logit_drawn_in_at;
// Taken where no spread was seen. Clusters that all hold 100 % are no rarity at a proportion of
// 0.9 and a likeness of 0.2, and 1 would cover 92 % there.
constexpr double design_effect_unseen = 2;

struct Tally {
  double successes = 0;
  double trials = 0;
};
using Clusters = std::map<std::size_t, std::vector<Tally>>;

Tally add_up(const std::vector<Tally>& parts) {
  Tally sum;
  for (const auto& part : parts) {
    sum.successes += part.successes;
    sum.trials += part.trials;
  }
  return sum;
}

double square(double x) { return x * x; }

// Nested analysis of variance of the single 0/1 trials (Henderson's method I for unequal sizes;
// Searle, Casella and McCulloch 1992, section 5.2).
void split_variance(const Clusters& clusters, double p, double trials, ClusterProportion& out) {
  double ss_cluster = 0, ss_part = 0, ss_trial = 0;
  double parts_in_cluster = 0;  // Σ_i Σ_j n_ij² / n_i
  double parts_in_all = 0;      // Σ n_ij² / N
  double clusters_in_all = 0;   // Σ n_i² / N
  for (const auto& [label, parts] : clusters) {
    const Tally sum = add_up(parts);
    const double own = sum.successes / sum.trials;
    ss_cluster += sum.trials * square(own - p);
    clusters_in_all += square(sum.trials) / trials;
    for (const auto& part : parts) {
      const double q = part.successes / part.trials;
      ss_part += part.trials * square(q - own);
      ss_trial += part.trials * q * (1 - q);
      parts_in_cluster += square(part.trials) / sum.trials;
      parts_in_all += square(part.trials) / trials;
    }
  }
  const double a = static_cast<double>(out.clusters);
  const double b = static_cast<double>(out.parts);
  if (trials <= b) return;
  const double trial = ss_trial / (trials - b);
  const double part =
      b > a ? std::max(0.0, (ss_part - (b - a) * trial) / (trials - parts_in_cluster)) : 0;
  const double cluster =
      std::max(0.0, (ss_cluster - (a - 1) * trial - part * (parts_in_cluster - parts_in_all)) /
                        (trials - clusters_in_all));
  const double whole = trial + part + cluster;
  if (whole <= 0) return;
  out.correlation_in_cluster = cluster / whole;
  out.correlation_in_part = part / whole;
}

Result<Clusters> gather(std::span<const ClusterPart> parts) {
  Clusters clusters;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const ClusterPart& part = parts[i];
    if (!std::isfinite(part.trials)) return not_finite("parts.trials", i);
    if (part.trials != 0 && !(part.trials >= trials_min && part.trials <= trials_max)) {
      return out_of_range("parts.trials", part.trials, "0, or from 1e-6 to 1e6");
    }
    if (!(part.successes >= 0 && part.successes <= part.trials)) {
      return out_of_range("parts.successes", part.successes, "from 0 to trials");
    }
    if (part.trials > 0) clusters[part.cluster].push_back({part.successes, part.trials});
  }
  if (clusters.size() < 2) return too_few("parts.cluster", clusters.size(), 2);
  return clusters;
}

Interval logit_interval(double p, double half) {
  const double centre = std::log(p / (1 - p));
  return {1 / (1 + std::exp(-(centre - half))), 1 / (1 + std::exp(-(centre + half)))};
}

double drawn_in(double half, double to) { return to * std::asinh(half / to); }

Interval interval_of(const ClusterProportion& it, ClusterIntervalMethod method) {
  using Method = ClusterIntervalMethod;
  const double p = it.proportion;
  const bool on_logit =
      method == Method::recommended || method == Method::logit_t || method == Method::wilson_t;
  // Nothing between clusters, or all alike: the logit has no scale, the effective size has.
  if (!on_logit || !(it.standard_error > 0)) {
    const auto how = method == Method::korn_graubard ? ProportionMethod::clopper_pearson
                                                     : ProportionMethod::wilson;
    return *proportion_interval_effective(how, p, it.n_effective, it.df, it.confidence);
  }
  const double half =
      t_quantile((1 + it.confidence) / 2, it.df) * it.standard_error / (p * (1 - p));
  if (method == Method::logit_t) return logit_interval(p, half);
  return logit_interval(p, drawn_in(half, method == Method::wilson_t ? 2 : drawn_to));
}

}  // namespace

double drawn_in_half_width(double logit_half_width) {
  return drawn_in(logit_half_width, drawn_to);
}

Result<ClusterProportion> cluster_proportion(std::span<const ClusterPart> parts,
                                             double confidence, ClusterIntervalMethod method) {
  if (auto error = check_confidence(confidence)) return *error;
  auto gathered = gather(parts);
  if (!gathered) return gathered.error();
  ClusterProportion result;
  result.confidence = confidence;
  result.clusters = gathered->size();
  double successes = 0;
  for (const auto& [label, own] : *gathered) {
    const Tally sum = add_up(own);
    successes += sum.successes;
    result.trials += sum.trials;
    result.parts += own.size();
  }
  const double p = successes / result.trials;
  const double m = static_cast<double>(result.clusters);
  double squares = 0;
  for (const auto& [label, own] : *gathered) {
    const Tally sum = add_up(own);
    squares += square(sum.successes - p * sum.trials);
  }
  const double variance = m / (m - 1) * squares / square(result.trials);
  const double binomial = p * (1 - p) / result.trials;
  result.proportion = p;
  result.df = m - 1;
  result.standard_error = std::sqrt(variance);
  result.design_effect = binomial > 0 ? variance / binomial : 1;
  result.n_effective =
      result.trials / (variance > 0 ? std::max(1.0, result.design_effect) : design_effect_unseen);
  split_variance(*gathered, p, result.trials, result);

  result.interval = interval_of(result, method);
  return result;
}

Result<std::size_t> clusters_for_half_width(const ClusterProportion& seen, double half_width) {
  if (auto error = check_open_unit(half_width, "half_width")) return *error;
  if (seen.clusters < 2) return too_few("seen.clusters", seen.clusters, 2);
  const double m = static_cast<double>(seen.clusters);
  const double p = std::clamp(seen.proportion, 0.5 / seen.trials, 1 - 0.5 / seen.trials);
  const double per_cluster =
      m * std::max(square(seen.standard_error), p * (1 - p) / seen.trials);
  const double level = (1 + seen.confidence) / 2;
  const auto reached = [&](std::size_t clusters) {
    const double c = static_cast<double>(clusters);
    return t_quantile(level, c - 1) * std::sqrt(per_cluster / c) <= half_width;
  };
  // The width falls with every cluster: halve the range.
  std::size_t low = 1, high = 2;
  while (high < clusters_max && !reached(high)) {
    low = high;
    high = std::min(clusters_max, high * 2);
  }
  while (high - low > 1) {
    const std::size_t middle = low + (high - low) / 2;
    (reached(middle) ? high : low) = middle;
  }
  return high;
}

Result<StrataTest> compare_strata(std::span<const StratumPair> clusters, double confidence) {
  if (auto error = check_confidence(confidence)) return *error;
  Tally a, b;
  StrataTest test;
  for (std::size_t i = 0; i < clusters.size(); ++i) {
    const StratumPair& pair = clusters[i];
    if (!std::isfinite(pair.trials_a) || !std::isfinite(pair.trials_b)) {
      return not_finite("clusters.trials", i);
    }
    if (std::fmax(pair.trials_a, pair.trials_b) > trials_max) {
      return out_of_range("clusters.trials", std::fmax(pair.trials_a, pair.trials_b),
                          "at most 1e6");
    }
    if (!(pair.successes_a >= 0 && pair.successes_a <= pair.trials_a)) {
      return out_of_range("clusters.successes_a", pair.successes_a, "from 0 to trials_a");
    }
    if (!(pair.successes_b >= 0 && pair.successes_b <= pair.trials_b)) {
      return out_of_range("clusters.successes_b", pair.successes_b, "from 0 to trials_b");
    }
    if (pair.trials_a <= 0 || pair.trials_b <= 0) continue;
    ++test.clusters;
    a = {a.successes + pair.successes_a, a.trials + pair.trials_a};
    b = {b.successes + pair.successes_b, b.trials + pair.trials_b};
  }
  if (test.clusters < 2) return too_few("clusters", test.clusters, 2);
  const double m = static_cast<double>(test.clusters);
  test.proportion_a = a.successes / a.trials;
  test.proportion_b = b.successes / b.trials;
  test.difference = test.proportion_a - test.proportion_b;
  double squares = 0;
  for (const auto& pair : clusters) {
    if (pair.trials_a <= 0 || pair.trials_b <= 0) continue;
    squares += square((pair.successes_a - test.proportion_a * pair.trials_a) / a.trials -
                      (pair.successes_b - test.proportion_b * pair.trials_b) / b.trials);
  }
  test.standard_error = std::sqrt(m / (m - 1) * squares);
  test.df = m - 1;
  const double half = t_quantile((1 + confidence) / 2, test.df) * test.standard_error;
  test.interval = {std::max(-1.0, test.difference - half),
                   std::min(1.0, test.difference + half)};
  if (test.standard_error > 0) {
    test.t = test.difference / test.standard_error;
    test.p_value = 2 * t_cdf(-std::fabs(test.t), test.df);
  } else {
    test.p_value = test.difference == 0 ? 1 : 0;
  }
  return test;
}

}  // namespace nthtree::stats
