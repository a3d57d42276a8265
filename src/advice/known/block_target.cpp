// SPDX-License-Identifier: Apache-2.0
#include "advice/known/block_target.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <vector>

#include "advice/known/floral.h"
#include "advice/known/planting.h"
#include "advice/internal/clusters_seen.h"
#include "advice/internal/current.h"
#include "advice/internal/winter_counts.h"
#include "base/clock.h"
#include "stats/cluster_proportion.h"
#include "stats/double_sampling.h"
#include "stats/mean_interval.h"
#include "stats/quantiles.h"

namespace nthtree::advice {
namespace {

constexpr std::size_t pairs_needed = 6;  // for a slope: two parameters, and four to judge them

// A target needs a fraction above zero: where no floral bud was found at all, one in a hundred.
orchard::Estimate usable(const orchard::Estimate& fraction) {
  const auto clamp = [](double f) { return std::clamp(f, 0.01, 1.0); };
  return {clamp(fraction.value), clamp(fraction.low), clamp(fraction.high)};
}

base::Error no_settings(const std::string& block) {
  return {"no_block_settings", "the block's own settings have not arrived yet", block};
}

orchard::Estimate to_take(const SecondPass& pass) {
  const auto& now = pass.floral_clusters_per_tree;
  const double wanted = pass.flowering_spurs_target;
  return {now.value - wanted, now.low - wanted, now.high - wanted};
}

double mean_of(const std::vector<double>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

// The mean over trees. A tree made of limbs weighs as much as a whole one: weighed by how well they
// are known, the small trees that somebody counts whole would lead. What its limbs leave open is in
// the spread between the trees already (two stages, Cochran 1977, sec. 10.3, from memory); few
// trees may hide it by chance, so that no interval is told that is tighter than limbs alone allow.
orchard::Estimate mean_on_tree(const SecondPass& pass, double limbs_variance) {
  const std::vector<double>& clusters = pass.clusters;
  const double mean = mean_of(clusters);
  const auto interval = stats::mean_interval(clusters, stats::MeanMethod::student_t, 0.90);
  // One tree alone tells a mean within half and twice, about what a 35 % spread gives.
  if (!interval) return log_estimate(0, std::hypot(0.35, std::sqrt(limbs_variance)), mean);
  const double least = stats::t_quantile(0.95, limb_df_prior) * mean *
                       std::sqrt(limbs_variance / static_cast<double>(clusters.size()));
  const double half = std::max(interval->interval.high - mean, least);
  return {mean, at_least_zero(mean - half), mean + half};
}

}  // namespace

SecondPass second_pass(const ledger::BlockSeason& block) {
  SecondPass pass;
  const auto trees = clusters_seen(block);
  if (trees.empty()) return pass;
  std::vector<stats::ClusterPart> parts;
  LimbSums limbs;
  for (const auto& [key, seen] : trees) {
    pass.clusters.push_back(seen.on_tree);
    pass.part_trees += !seen.limbs.empty();
    limbs.add(seen.limbs, seen.limbs_in_tree);
    if (seen.spurs > 0) parts.push_back({static_cast<std::size_t>(key), seen.floral, seen.spurs});
  }
  pass.trees = static_cast<int>(trees.size());
  double limbs_variance = 0;  // of one tree, relative, the mean over all
  for (const auto& [key, seen] : trees) limbs_variance += seen.part_variance(limbs) / pass.trees;
  pass.floral_clusters_per_tree = mean_on_tree(pass, limbs_variance);
  const auto share = stats::cluster_proportion(parts, 0.90);
  if (share) {
    pass.floral_fraction = {share->proportion, share->interval.low, share->interval.high};
  } else if (!parts.empty()) {
    const double p = parts[0].successes / parts[0].trials;
    const double half = 2 * std::sqrt(std::max(0.01, p * (1 - p)) / parts[0].trials * 4);
    pass.floral_fraction = {p, at_least_zero(p - half), std::min(1.0, p + half)};
  }
  if (!block.block) return pass;
  const auto target = orchard::work_out_target(
      block.block->target, planting_of(block, always).spacing(),
      usable(parts.empty() ? orchard::Estimate::exactly(1) : pass.floral_fraction));
  if (!target) return pass;
  // Clusters that a frost killed are seen and bear nothing: as many more are wanted.
  pass.flowering_spurs_target =
      std::round(target->flowering_spurs_per_tree / frost_damage(block).alive.value);
  pass.clusters_to_take_per_tree = to_take(pass);
  return pass;
}

SecondPass second_pass_and_winter(const ledger::BlockSeason& block) {
  SecondPass pass = second_pass(block);
  if (pass.trees < static_cast<int>(pairs_needed)) return pass;
  const auto winter = winter_counts(block);
  std::vector<double> spurs, clusters, all;
  for (const auto& [tree, seen] : clusters_seen(block)) {
    const auto counted = winter.find(tree);
    if (counted == winter.end()) continue;
    spurs.push_back(counted->second.spurs);
    clusters.push_back(seen.on_tree);
  }
  if (spurs.size() < pairs_needed || spurs.size() == winter.size()) return pass;
  for (const auto& [tree, count] : winter) all.push_back(count.spurs);
  const auto led = stats::two_phase_regression(clusters, spurs, all, 0.90);
  const orchard::Estimate& alone = pass.floral_clusters_per_tree;
  if (!led || led->interval.high - led->interval.low >= alone.high - alone.low) return pass;
  pass.floral_clusters_per_tree = {led->mean, at_least_zero(led->interval.low),
                                   led->interval.high};
  if (pass.flowering_spurs_target > 0) pass.clusters_to_take_per_tree = to_take(pass);
  pass.winter = {static_cast<int>(all.size()), static_cast<int>(spurs.size()), mean_of(all),
                 mean_of(spurs), mean_of(clusters), led->slope};
  return pass;
}

FrostDamage frost_damage(const ledger::BlockSeason& block) {
  FrostDamage damage;
  if (block.frost_samples.empty()) return damage;  // the usual case, on every count's way
  for_current(block.frost_samples, always, [&](const auto& entry) {
    damage.looked_ms = std::max(damage.looked_ms, entry.at_ms());
    damage.bbch = entry.body.bbch;
  });
  // Alive and killed are to the share alive what floral and vegetative are to the floral fraction.
  ledger::BlockSeason last_look;
  for_current(block.frost_samples, always, [&](const auto& entry) {
    if (entry.at_ms() <= damage.looked_ms - base::day_ms) return;
    ledger::BudSample sample;
    sample.tree = entry.body.tree;
    sample.spur_floral = entry.body.alive;
    sample.spur_vegetative = entry.body.killed;
    last_look.bud_samples.push_back({entry.position, entry.author, sample});
  });
  const FloralFraction alive = floral_fraction(last_look);
  if (!alive.known) return damage;
  damage.known = true;
  damage.trees = alive.trees;
  damage.buds = alive.buds;
  damage.branches_more = alive.branches_more;
  damage.alive = usable(alive.fraction);
  return damage;
}

namespace {

// The product of two shares that are known independently of each other.
orchard::Estimate both(const orchard::Estimate& a, const orchard::Estimate& b) {
  if (b.low == b.high) return {a.value * b.value, a.low * b.value, a.high * b.value};
  const auto log_sd = [](const orchard::Estimate& share) {
    return std::log(share.high / share.low) / (2 * z_90);
  };
  const orchard::Estimate product =
      log_estimate(0, std::hypot(log_sd(a), log_sd(b)), a.value * b.value);
  return {product.value, product.low, std::min(1.0, product.high)};
}

base::Result<BlockTarget> target_with(const ledger::BlockSeason& block, const FrostDamage& frost) {
  if (!block.block) return no_settings(block.id);
  BlockTarget result;
  std::optional<orchard::Estimate> floral;
  const SecondPass pass = second_pass(block);
  if (pass.trees > 0 && pass.floral_fraction.value > 0) {
    floral = usable(pass.floral_fraction);
    result.source = FloralSource::clusters_seen;
  } else {
    const FloralFraction buds = floral_fraction(block);
    if (buds.known) {
      floral = usable(buds.fraction);
      result.source = FloralSource::dissected;
    }
  }
  const auto& typed_in = block.block->target.floral_fraction;
  if (!floral && typed_in) floral = orchard::Estimate::exactly(*typed_in);
  if (floral) result.floral_fraction = *floral;
  result.alive = frost.alive;
  if (floral && frost.known) floral = usable(both(*floral, frost.alive));
  auto target =
      orchard::work_out_target(block.block->target, planting_of(block, always).spacing(), floral);
  if (!target) return target.error();
  result.target = *target;
  const auto& spurs = result.target.spurs_to_leave_exact;
  if (spurs.low > 0 && spurs.high > spurs.low) {
    result.log_sd = std::log(spurs.high / spurs.low) / (2 * z_90);
  }
  return result;
}

}  // namespace

base::Result<BlockTarget> block_target(const ledger::BlockSeason& block) {
  return target_with(block, frost_damage(block));
}

base::Result<BlockTarget> target_before_frost(const ledger::BlockSeason& block) {
  return target_with(block, {});
}

base::Result<BlockTarget> block_target(const ledger::Season& season, const std::string& block) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found) return base::Error{"unknown_block", "there is no such block", block};
  return block_target(*found);
}

}  // namespace nthtree::advice
