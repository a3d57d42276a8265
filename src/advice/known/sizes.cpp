// SPDX-License-Identifier: Apache-2.0
#include "advice/known/sizes.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <string>
#include <utility>
#include <vector>

#include "advice/internal/context.h"
#include "advice/internal/current.h"
#include "base/clock.h"
#include "stats/quantiles.h"

namespace nthtree::advice {
namespace {

constexpr double pooled_trees = 4;        // as if so many of each class had been like the others
constexpr double explained_needed = 0.2, doubt_most = 0.05;
constexpr double cv_to_try = 0.28;
constexpr int counts_to_try = 8;

struct TappedTree {
  double share = 1;  // of its pruner's mean that day
  std::size_t size = 1;
};

struct CountedTree {
  std::int64_t tree = 0;
  double spurs = 0;
};
using Days = std::map<std::pair<std::string, std::int64_t>, std::vector<CountedTree>>;

// Days are cut at midnight UTC: only that trees of one stretch are compared matters here.
Days counted_days(const ledger::BlockSeason& block, std::int64_t now_ms) {
  Days days;
  for_current(block.tag_counts, now_ms, [&](const auto& entry) {
    days[{entry.author, entry.at_ms() / base::day_ms}].push_back(
        {tree_key(entry.body.tree), static_cast<double>(entry.body.spurs)});
  });
  for_current(block.part_counts, now_ms, [&](const auto& entry) {
    days[{entry.author, entry.at_ms() / base::day_ms}].push_back(
        {tree_key(entry.body.tree), entry.body.counted.on_tree()});
  });
  return days;
}

std::vector<TappedTree> tapped_trees(const ledger::BlockSeason& block, const SizeClasses& sizes,
                               std::int64_t now_ms) {
  std::vector<TappedTree> trees;
  for (const auto& [day, counts] : counted_days(block, now_ms)) {
    double sum = 0, n = 0;
    for (const CountedTree& count : counts) {
      if (!sizes.of_tree.contains(count.tree)) continue;
      sum += count.spurs;
      n += 1;
    }
    if (n < 2 || sum <= 0) continue;
    for (const CountedTree& count : counts) {
      const auto tapped = sizes.of_tree.find(count.tree);
      if (tapped == sizes.of_tree.end()) continue;
      trees.push_back({count.spurs * n / sum, static_cast<std::size_t>(tapped->second)});
    }
  }
  return trees;
}

// One-way analysis of the shares by class.
void explain(const std::vector<TappedTree>& trees, SizeClasses& sizes,
             std::array<double, 3>& sums) {
  double all = 0, squares = 0, between = 0, classes = 0;
  const double n = static_cast<double>(trees.size());
  for (const TappedTree& tree : trees) {
    sums[tree.size] += tree.share;
    ++sizes.trees[tree.size];
    all += tree.share;
  }
  const double mean = all / std::max(1.0, n);
  for (const TappedTree& tree : trees) squares += (tree.share - mean) * (tree.share - mean);
  for (std::size_t c = 0; c < 3; ++c) {
    if (sizes.trees[c] == 0) continue;
    const double off = sums[c] / sizes.trees[c] - mean;
    between += sizes.trees[c] * off * off;
    classes += 1;
  }
  const double df = n - classes;
  if (classes < 2 || df < 3 || squares <= between) return;
  const double within = (squares - between) / df;
  sizes.explained = std::clamp(1 - within / (squares / (n - 1)), 0.0, 1.0);
  const double f = between / (classes - 1) / within;
  const bool sure = 1 - stats::f_cdf(f, classes - 1, df) < doubt_most;
  sizes.pays = n >= size_trial_trees && sure && sizes.explained >= explained_needed;
}

}  // namespace

double SizeClasses::factor_at(const orchard::TreeAddress& tree) const {
  const auto found = of_tree.find(tree_key(tree));
  return found == of_tree.end() ? 1 : factor_of(found->second);
}

SizeClasses size_classes(const ledger::BlockSeason& block, std::int64_t now_ms) {
  SizeClasses sizes;
  for_current(block.tree_sizes, now_ms, [&](const auto& entry) {
    sizes.of_tree[tree_key(entry.body.tree)] = entry.body.size;
  });
  if (sizes.of_tree.empty()) return sizes;
  std::array<double, 3> sums{};
  explain(tapped_trees(block, sizes, now_ms), sizes, sums);
  if (!sizes.pays) return sizes;
  double weighed = 0, trees = 0;
  for (std::size_t c = 0; c < 3; ++c) {
    sizes.factor[c] = (sums[c] + pooled_trees) / (sizes.trees[c] + pooled_trees);
    weighed += sizes.factor[c] * sizes.trees[c];
    trees += sizes.trees[c];
  }
  for (double& factor : sizes.factor) factor *= trees / weighed;
  return sizes;
}

SizeAsk ask_for_size(const SizeClasses& sizes, double tree_cv, int counts) {
  if (sizes.pays) return SizeAsk::yes;
  const int tapped = std::accumulate(sizes.trees.begin(), sizes.trees.end(), 0);
  const bool differ = counts >= counts_to_try && tree_cv >= cv_to_try;
  const bool begun = tapped > 0 && tapped < size_trial_trees;
  return tapped < size_trial_trees && (differ || begun) ? SizeAsk::on_trial : SizeAsk::no;
}

SizeOffer size_offer(const ledger::Season& season, const std::string& block,
                     std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found) return {};
  const BlockContext context = make_context(season, *found, now_ms, cut_for(season, now_ms));
  const Standing& crew = context.standings().crew;
  const double cv = std::sqrt(std::expm1(crew.tree_log_sd * crew.tree_log_sd));
  const SizeClasses& sizes = context.here->sizes;
  return {ask_for_size(sizes, cv, crew.counts + crew.counts_before), sizes.factor};
}

}  // namespace nthtree::advice
