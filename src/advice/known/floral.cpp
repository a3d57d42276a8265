// SPDX-License-Identifier: Apache-2.0
#include "advice/known/floral.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "advice/internal/current.h"
#include "stats/cluster_proportion.h"
#include "stats/proportion.h"

namespace nthtree::advice {
namespace {

constexpr double confidence = 0.90;
// Buds of one tree resemble each other; while only one tree is cut no spread between trees is
// seen, and four buds are taken to say as much as one independent one (ours, cautious; typical
// design effects of cluster samples are 1.5 to 4).
constexpr double design_effect_unseen = 4;

struct Tally {
  std::vector<stats::ClusterPart> parts;
  std::map<std::int64_t, stats::StratumPair> pairs;  // by tree: upper (a) and lower (b)
  double floral = 0, buds = 0;
  double floral_at[2] = {0, 0}, buds_at[2] = {0, 0};
};

Tally tally(const ledger::BlockSeason& block, FloralFraction& result) {
  Tally sums;
  for_current(block.bud_samples, always, [&](const auto& entry) {
    const ledger::BudSample& sample = entry.body;
    result.lateral_left_out += sample.lateral_left_out;
    const int buds = sample.floral() + sample.vegetative();
    if (buds <= 0) return;
    const auto tree = static_cast<std::size_t>(tree_key(sample.tree));
    const double floral = sample.floral();
    sums.parts.push_back({tree, floral, static_cast<double>(buds)});
    const int at = sample.position == ledger::BranchPosition::upper ? 0 : 1;
    auto& pair = sums.pairs[tree_key(sample.tree)];
    (at == 0 ? pair.successes_a : pair.successes_b) += floral;
    (at == 0 ? pair.trials_a : pair.trials_b) += buds;
    sums.floral += floral;
    sums.buds += buds;
    sums.floral_at[at] += floral;
    sums.buds_at[at] += buds;
    ++result.branches;
    result.spur_buds += sample.spur_floral + sample.spur_vegetative;
    result.terminal_buds += sample.terminal_floral + sample.terminal_vegetative;
  });
  result.trees = static_cast<int>(sums.pairs.size());
  result.buds = static_cast<int>(sums.buds);
  return sums;
}

orchard::Estimate effective_interval(double fraction, double n_effective, double df) {
  const auto interval = stats::proportion_interval_effective(
      stats::ProportionMethod::wilson, fraction, n_effective, df, confidence);
  if (!interval) return {fraction, 0, 1};
  return {fraction, std::min(interval->low, fraction), std::max(interval->high, fraction)};
}

constexpr int branches_more_most = 999;

// Branches still to cut for a half width of `wanted` times the fraction, as sampled so far.
int branches_short(const stats::ClusterProportion& clusters, double wanted,
                   const FloralFraction& seen) {
  const double half = std::max(0.005, wanted * seen.fraction.value);
  const auto trees = stats::clusters_for_half_width(clusters, half);
  if (!trees || static_cast<int>(*trees) <= seen.trees) return 0;
  const double branches_a_tree = static_cast<double>(seen.branches) / seen.trees;
  const double more = std::ceil((static_cast<double>(*trees) - seen.trees) * branches_a_tree);
  return static_cast<int>(std::min<double>(more, branches_more_most));
}

// The same from one tree, which shows no spread between trees.
int branches_short_unseen(double buds, double wanted, const FloralFraction& seen) {
  const double p = seen.fraction.value, z = z_90 / std::max(0.005, wanted * p);
  const double needed = design_effect_unseen * std::max(0.01, p * (1 - p)) * z * z;
  const double more = std::ceil((needed - buds) / std::max(1.0, buds / seen.branches));
  return static_cast<int>(std::clamp<double>(more, 2, branches_more_most));
}

void estimate(const Tally& sums, FloralFraction& result) {
  const double p = sums.floral / sums.buds;
  const auto clusters = stats::cluster_proportion(sums.parts, confidence);
  if (clusters) {
    const stats::Interval& interval = clusters->interval;
    result.fraction = {p, std::min(p, interval.low), std::max(p, interval.high)};
    result.standard_error = clusters->standard_error;
    result.design_effect = clusters->design_effect;
    result.effective_buds = clusters->n_effective;
    result.branches_more = branches_short(*clusters, half_width_to_begin, result);
    result.branches_for_verdicts = branches_short(*clusters, half_width_for_verdicts, result);
  } else {
    result.design_effect = design_effect_unseen;
    result.effective_buds = sums.buds / design_effect_unseen;
    result.standard_error = std::sqrt(p * (1 - p) / result.effective_buds);
    result.fraction = effective_interval(p, result.effective_buds, 4);
    result.branches_more = branches_short_unseen(sums.buds, half_width_to_begin, result);
    result.branches_for_verdicts =
        branches_short_unseen(sums.buds, half_width_for_verdicts, result);
  }
  result.relative_half_width =
      p > 0 ? (result.fraction.high - result.fraction.low) / (2 * p) : 1;
}

orchard::Estimate at_position(const Tally& sums, int at, double design_effect) {
  if (sums.buds_at[at] <= 0) return {-1, -1, -1};
  const double p = sums.floral_at[at] / sums.buds_at[at];
  return effective_interval(p, sums.buds_at[at] / std::max(1.0, design_effect), 8);
}

void warn(const Tally& sums, FloralFraction& result) {
  std::vector<stats::StratumPair> pairs;
  for (const auto& [tree, pair] : sums.pairs) pairs.push_back(pair);
  const auto test = stats::compare_strata(pairs, confidence);
  if (test) result.upper_lower_p = test->p_value;
  if (result.trees < 2) result.warnings.push_back(FloralWarning::one_tree_only);
  if (result.buds < 30) result.warnings.push_back(FloralWarning::few_buds);
  if (sums.buds_at[0] <= 0 || sums.buds_at[1] <= 0) {
    result.warnings.push_back(FloralWarning::one_position_only);
  } else if (test && test->p_value < 0.05) {
    result.warnings.push_back(FloralWarning::upper_lower_apart);
  }
}

}  // namespace

FloralFraction floral_fraction(const ledger::BlockSeason& block) {
  FloralFraction result;
  result.upper = result.lower = {-1, -1, -1};
  const Tally sums = tally(block, result);
  if (sums.buds <= 0) return result;
  result.known = true;
  estimate(sums, result);
  result.upper = at_position(sums, 0, result.design_effect);
  result.lower = at_position(sums, 1, result.design_effect);
  warn(sums, result);
  return result;
}

}  // namespace nthtree::advice
