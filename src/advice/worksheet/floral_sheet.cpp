// SPDX-License-Identifier: Apache-2.0
#include "advice/worksheet/floral_sheet.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "advice/internal/clusters_seen.h"
#include "advice/internal/current.h"
#include "advice/known/block_target.h"
#include "stats/cluster_proportion.h"
#include "stats/quantiles.h"

namespace nthtree::advice {
namespace {

constexpr double confidence = 0.90;

using TreeBuds = std::map<orchard::TreeAddress, FloralTree>;

void add(const orchard::TreeAddress& tree, double floral, double buds, TreeBuds& trees) {
  if (buds <= 0) return;
  FloralTree& sum = trees[tree];
  sum.tree = tree;
  sum.floral += floral;
  sum.buds += buds;
}

TreeBuds buds_cut(const ledger::BlockSeason& block) {
  TreeBuds trees;
  for_current(block.bud_samples, always, [&](const auto& entry) {
    add(entry.body.tree, entry.body.floral(), entry.body.floral() + entry.body.vegetative(),
        trees);
  });
  return trees;
}

TreeBuds buds_seen(const ledger::BlockSeason& block) {
  TreeBuds trees;
  for (const auto& [key, seen] : clusters_seen(block)) {
    add(seen.tree, seen.floral, seen.spurs, trees);
  }
  return trees;
}

void fill_ratio(TreeBuds trees, const orchard::Estimate& fraction, FloralSheet& sheet) {
  FloralRatio& ratio = sheet.ratio;
  ratio.fraction = fraction;
  const double p = fraction.value;
  for (auto& [address, tree] : trees) {
    tree.expected = p * tree.buds;
    tree.square = (tree.floral - tree.expected) * (tree.floral - tree.expected);
    ratio.floral += tree.floral;
    ratio.buds += tree.buds;
    ratio.squares += tree.square;
    sheet.trees.push_back(tree);
  }
  const double m = static_cast<double>(trees.size()), n = ratio.buds;
  ratio.shows_spread = m >= 2 && ratio.squares > 0 && p > 0 && p < 1;
  if (!ratio.shows_spread) return;
  ratio.df = m - 1;
  ratio.variance = m / (m - 1) * ratio.squares / (n * n);
  ratio.design_effect = ratio.variance / (p * (1 - p) / n);
  ratio.logit = std::log(p / (1 - p));
  ratio.half_width = stats::t_quantile((1 + confidence) / 2, ratio.df) *
                     std::sqrt(ratio.variance) / (p * (1 - p));
  ratio.drawn_in = stats::drawn_in_half_width(ratio.half_width);
  ratio.drawn_in_at = stats::logit_drawn_in_at;
}

std::vector<PositionTree> trees_of_both(const ledger::BlockSeason& block) {
  std::map<orchard::TreeAddress, PositionTree> trees;
  for_current(block.bud_samples, always, [&](const auto& entry) {
    const ledger::BudSample& sample = entry.body;
    const double buds = sample.floral() + sample.vegetative();
    PositionTree& tree = trees[sample.tree];
    tree.tree = sample.tree;
    const bool upper = sample.position == ledger::BranchPosition::upper;
    (upper ? tree.upper_floral : tree.lower_floral) += sample.floral();
    (upper ? tree.upper_buds : tree.lower_buds) += buds;
  });
  std::vector<PositionTree> both;
  for (const auto& [address, tree] : trees) {
    if (tree.upper_buds > 0 && tree.lower_buds > 0) both.push_back(tree);
  }
  return both;
}

void fill_positions(const ledger::BlockSeason& block, FloralSheet& sheet) {
  sheet.position_trees = trees_of_both(block);
  PositionTest& all = sheet.positions;
  std::vector<stats::StratumPair> pairs;
  for (const PositionTree& tree : sheet.position_trees) {
    pairs.push_back({tree.upper_floral, tree.upper_buds, tree.lower_floral, tree.lower_buds});
    all.upper_floral += tree.upper_floral, all.upper_buds += tree.upper_buds;
    all.lower_floral += tree.lower_floral, all.lower_buds += tree.lower_buds;
  }
  const auto test = stats::compare_strata(pairs, confidence);
  if (!test) return;
  all.known = true;
  all.upper = test->proportion_a, all.lower = test->proportion_b;
  all.trees = static_cast<double>(test->clusters), all.df = test->df;
  all.standard_error = test->standard_error, all.t = test->t, all.p = test->p_value;
  for (PositionTree& tree : sheet.position_trees) {
    const double apart =
        (tree.upper_floral - all.upper * tree.upper_buds) / all.upper_buds -
        (tree.lower_floral - all.lower * tree.lower_buds) / all.lower_buds;
    tree.apart_squared = apart * apart;
    all.squares += tree.apart_squared;
  }
}

FloralWish wish_of(const stats::ClusterProportion& seen, double relative, int branches_more) {
  FloralWish wish;
  const double m = static_cast<double>(seen.clusters), p = seen.proportion;
  const double between = seen.standard_error * seen.standard_error;
  wish.relative = relative;
  wish.wanted = relative * p;
  // All or none floral is no proof that every bud is: half a bud either way.
  wish.mixed = std::clamp(p, 0.5 / seen.trials, 1 - 0.5 / seen.trials);
  wish.variance_least = wish.mixed * (1 - wish.mixed) / seen.trials;
  wish.at_least_unrelated = wish.variance_least > between;
  wish.variance = std::max(between, wish.variance_least);
  const auto needed = stats::clusters_for_half_width(seen, std::max(0.005, wish.wanted));
  wish.trees = std::max(m, needed ? static_cast<double>(*needed) : m);
  const auto half = [&](double trees) {
    return stats::t_quantile((1 + confidence) / 2, trees - 1) *
           std::sqrt(m * wish.variance / trees);
  };
  wish.half_width = half(wish.trees);
  if (wish.trees > m) wish.half_width_before = half(wish.trees - 1);
  wish.branches_more = branches_more;
  return wish;
}

void fill_wishes(FloralSheet& sheet) {
  std::vector<stats::ClusterPart> parts;
  for (const FloralTree& tree : sheet.trees) {
    parts.push_back({parts.size(), tree.floral, tree.buds});
  }
  const auto seen = stats::cluster_proportion(parts, confidence);
  if (!seen) return;
  sheet.branches_a_tree = static_cast<double>(sheet.found.branches) / sheet.found.trees;
  sheet.to_begin = wish_of(*seen, half_width_to_begin, sheet.found.branches_more);
  sheet.for_verdicts =
      wish_of(*seen, half_width_for_verdicts, sheet.found.branches_for_verdicts);
}

}  // namespace

FloralSheet floral_sheet(const ledger::BlockSeason& block) {
  FloralSheet sheet;
  const SecondPass pass = second_pass(block);
  sheet.clusters_seen = pass.trees > 0 && pass.floral_fraction.value > 0;
  sheet.cluster_trees = pass.trees;
  sheet.found = floral_fraction(block);
  if (sheet.clusters_seen) {
    fill_ratio(buds_seen(block), pass.floral_fraction, sheet);
    return sheet;
  }
  if (!sheet.found.known) return sheet;
  fill_ratio(buds_cut(block), sheet.found.fraction, sheet);
  fill_positions(block, sheet);
  fill_wishes(sheet);
  return sheet;
}

}  // namespace nthtree::advice
