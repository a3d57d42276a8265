// SPDX-License-Identifier: Apache-2.0
#include "advice/review/learning.h"

#include <cmath>
#include <map>
#include <vector>

#include "advice/known/block_target.h"
#include "advice/known/counting_bias.h"
#include "advice/internal/clusters_seen.h"
#include "advice/internal/current.h"
#include "advice/internal/winter_counts.h"
#include "orchard/units.h"
#include "stats/cluster_proportion.h"
#include "stats/mean_interval.h"
#include "stats/posterior_normal.h"
#include "stats/quantiles.h"

namespace nthtree::advice {
namespace {

constexpr int trees_enough = 5;

// Flowering spurs left on each tree: clusters where they were counted, else the last count of
// spurs times the floral fraction.
std::map<std::int64_t, double> flowering_spurs(const ledger::Season& season,
                                               const ledger::BlockSeason& block,
                                               double floral_fraction) {
  std::map<std::int64_t, double> trees;
  const CountingBias bias = counting_bias(season, always);
  for (const auto& [tree, count] : winter_counts(block)) {
    trees[tree] = count.spurs * std::exp(bias.of(count.author).log_mean) * floral_fraction;
  }
  for_current(block.part_checks, always, [&](const auto& entry) {
    trees[tree_key(entry.body.tree)] = entry.body.counted.on_tree() * floral_fraction;
  });
  for_current(block.check_counts, always, [&](const auto& entry) {
    trees[tree_key(entry.body.tree)] = entry.body.spurs * floral_fraction;
  });
  for (const auto& [tree, seen] : clusters_seen(block)) trees[tree] = seen.on_tree;
  return trees;
}

void learn_insurance(double variety, Learning& learnt) {
  const double flowering = learnt.flowering, fruits = learnt.fruits;
  const double n = static_cast<double>(learnt.trees.size());
  const double own = std::log(flowering / fruits);
  // Scatter of single trees about the common ratio, relative to the mean tree (linearised ratio).
  for (TreeYield& tree : learnt.trees) {
    const double gap = (tree.flowering - flowering / fruits * tree.fruits) / (flowering / n);
    tree.square = gap * gap;
    learnt.squares += tree.square;
  }
  const double squares =
      tree_log_sd_weight * tree_log_sd_prior * tree_log_sd_prior + learnt.squares;
  const double df = tree_log_sd_weight + n - 1;
  const double variance = squares / df / n;
  const double prior = own_factor_log_sd * own_factor_log_sd;
  learnt.own_variance = variance;
  const double t = stats::t_quantile(0.95, df);
  learnt.own_insurance = log_estimate(own, std::sqrt(variance), 1, t);
  const auto usual = stats::NormalBelief::about(std::log(variety), prior);
  const auto known = stats::observe(usual, own, variance);
  learnt.shrinkage = usual.precision / known.precision;
  learnt.insurance = log_estimate(known.mean, known.sd(), 1, t);
}

struct Weighed {
  double fruits = 0, grams = 0;
};

// What was picked, tree by tree, the latest count of each; and what of it was weighed.
std::map<std::int64_t, double> picked(const ledger::BlockSeason& block, Learning& learnt) {
  std::map<std::int64_t, double> trees;
  std::map<std::int64_t, Weighed> weighed;
  for_current(block.harvest_counts, always, [&](const auto& entry) {
    const std::int64_t key = tree_key(entry.body.tree);
    trees[key] = entry.body.fruits;
    weighed.erase(key);
    if (!entry.body.grams_per_fruit || entry.body.fruits == 0) return;
    weighed[key] = {static_cast<double>(entry.body.fruits),
                    *entry.body.grams_per_fruit * entry.body.fruits};
  });
  for (const auto& [tree, fruits] : trees) learnt.picked_per_tree += fruits;
  learnt.picked_trees = static_cast<int>(trees.size());
  if (!trees.empty()) learnt.picked_per_tree /= static_cast<double>(trees.size());
  Weighed all;
  for (const auto& [tree, one] : weighed) all.fruits += one.fruits, all.grams += one.grams;
  learnt.weighed_trees = static_cast<int>(weighed.size());
  learnt.grams_per_fruit = all.fruits > 0 ? all.grams / all.fruits : 0;
  return trees;
}

orchard::TreeAddress address_of(std::int64_t key) {
  return {static_cast<int>(key >> 20), static_cast<int>(key & ((1 << 20) - 1))};
}

void learn_return_bloom(const ledger::BlockSeason& block, Learning& learnt) {
  std::vector<stats::ClusterPart> parts;
  double &floral = learnt.return_floral, &spurs = learnt.return_spurs;
  for_current(block.return_bloom, always, [&](const auto& entry) {
    if (entry.body.spurs <= 0) return;
    parts.push_back({static_cast<std::size_t>(tree_key(entry.body.tree)),
                     static_cast<double>(entry.body.floral_spurs),
                     static_cast<double>(entry.body.spurs)});
    floral += entry.body.floral_spurs;
    spurs += entry.body.spurs;
  });
  learnt.return_trees = static_cast<int>(parts.size());
  if (parts.empty()) return;
  const auto share = stats::cluster_proportion(parts, 0.90);
  learnt.return_bloom = share ? orchard::Estimate{share->proportion, share->interval.low,
                                                  share->interval.high}
                              : orchard::Estimate{floral / spurs, 0, 1};
}

}  // namespace

Learning learn(const ledger::Season& season, const std::string& block) {
  Learning learnt;
  learnt.reason = {"learn_none", {{"trees", 0}}};
  const ledger::BlockSeason* found = season.block(block);
  if (!found || !found->block) return learnt;
  learn_return_bloom(*found, learnt);
  const auto fruits_by_tree = picked(*found, learnt);
  const double variety = found->block->target.insurance_factor;
  learnt.insurance = {variety, variety * std::exp(-z_90 * own_factor_log_sd),
                      variety * std::exp(z_90 * own_factor_log_sd)};
  const auto target = block_target(*found);
  if (!target) return learnt;
  const double fraction = target->target.floral_fraction.value;
  const auto flowering = flowering_spurs(season, *found, fraction);
  std::vector<double> fruits;
  for (const auto& [tree, count] : fruits_by_tree) {
    const auto spurs = flowering.find(tree);
    if (spurs == flowering.end()) {
      learnt.never_counted.push_back(address_of(tree));
      continue;
    }
    learnt.trees.push_back({address_of(tree), spurs->second, count, 0});
    learnt.flowering += spurs->second;
    learnt.fruits += count;
    fruits.push_back(count);
  }
  learnt.harvest_trees = static_cast<int>(learnt.trees.size());
  if (learnt.trees.empty() || learnt.fruits <= 0) return learnt;
  const auto mean = stats::mean_interval(fruits, stats::MeanMethod::student_t, 0.90);
  const double each = learnt.fruits / static_cast<double>(fruits.size());
  learnt.fruits_per_tree =
      mean ? orchard::Estimate{mean->mean, at_least_zero(mean->interval.low), mean->interval.high}
           : log_estimate(0, 0.5, each);
  if (learnt.flowering <= 0) return learnt;
  learn_insurance(variety, learnt);
  const orchard::Estimate& own = learnt.own_insurance;
  learnt.set_per_spur = {1 / own.value, 1 / own.high, 1 / own.low};
  learnt.spurs_to_leave_in_hindsight =
      orchard::whole_half_up(target->target.fruits_per_tree * learnt.insurance.value / fraction);
  const double n = learnt.harvest_trees;
  learnt.reason = {learnt.harvest_trees < trees_enough ? "learn_few" : "learn_ok", {{"trees", n}}};
  return learnt;
}

}  // namespace nthtree::advice
