// SPDX-License-Identifier: Apache-2.0
//
// The floral clusters seen on each tree in the second pass, whole or of some limbs. Internal to
// advice/.
//
//   for (const auto& [tree, seen] : clusters_seen(block)) sum += seen.on_tree;
#pragma once

#include <cstdint>
#include <map>
#include <numeric>
#include <vector>

#include "advice/internal/current.h"
#include "advice/known/limbs.h"

namespace nthtree::advice {

struct ClustersSeen {
  orchard::TreeAddress tree;
  double on_tree = 0;               // of limbs the tree that they make
  double floral = 0, spurs = 0;     // as counted: with flowers, and all; for the floral fraction
  std::vector<int> limbs;           // clusters on each; empty where the tree was counted whole
  int limbs_in_tree = 0;

  // What the limbs leave open, relative to the tree; 0 of a whole one.
  double part_variance(const LimbSums& sums) const {
    return advice::part_variance(sums.variance(), static_cast<int>(limbs.size()), limbs_in_tree);
  }
};

// By tree_key, the latest of each tree; a whole count before one of some limbs.
inline std::map<std::int64_t, ClustersSeen> clusters_seen(const ledger::BlockSeason& block) {
  std::map<std::int64_t, ClustersSeen> trees;
  for_current(block.part_clusters, always, [&](const auto& entry) {
    const ledger::LimbCounts& counted = entry.body.counted;
    const double floral = std::accumulate(counted.limbs.begin(), counted.limbs.end(), 0.0);
    trees[tree_key(entry.body.tree)] = {entry.body.tree, counted.on_tree(), floral,
                                        floral + entry.body.vegetative_spurs, counted.limbs,
                                        counted.draw.limbs};
  });
  for_current(block.cluster_counts, always, [&](const auto& entry) {
    const double floral = entry.body.floral_clusters;
    trees[tree_key(entry.body.tree)] = {entry.body.tree, floral, floral,
                                        floral + entry.body.vegetative_spurs, {}, 0};
  });
  return trees;
}

}  // namespace nthtree::advice
