// SPDX-License-Identifier: Apache-2.0
//
// The target of a block that is in force at a moment: from the buds dissected where there are
// any, from the typed-in floral fraction otherwise; re-based when floral clusters are seen, and
// again on what a frost left alive (frost.h).
//
// Second pass (green tip to bloom): clusters counted on whole trees, or on some limbs of them, show
// how many of the spurs left are floral on pruned trees; their ratio replaces the winter's floral
// fraction, and the flowering spurs are counted directly.
//
//   base::Result<BlockTarget> target = block_target(season, "b1");
//   if (target) show(target->target.spurs_to_leave_per_tree);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/result.h"
#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

enum class FloralSource { typed_in, dissected, clusters_seen };

// Floral buds cut open after a frost; alive is 1, known exactly, where nobody did.
struct FrostDamage {
  bool known = false;
  int trees = 0, buds = 0;  // of the last look
  int branches_more = 0;    // still to cut until the share is known to a sixth of itself
  std::int64_t looked_ms = 0;
  int bbch = 0;             // as said last
  orchard::Estimate alive = orchard::Estimate::exactly(1);  // share, 90 %
};

struct BlockTarget {
  orchard::Target target;  // its floral fraction is that of flowering spurs that are alive
  orchard::Estimate floral_fraction;  // before what a frost took of it
  orchard::Estimate alive = orchard::Estimate::exactly(1);
  FloralSource source = FloralSource::typed_in;
  double log_sd = 0;  // of the spurs to leave, on the natural log scale, from the floral interval
};

// What the winter's counts of the same and other trees add: clusters run with spurs left, so that
// the mean of few trees is led by that of all (double sampling, stats/double_sampling.h).
struct WinterHelp {
  int trees = 0;  // counted in winter, whole or of some limbs; 0: it tightened nothing
  int pairs = 0;  // of these, with clusters
  double spurs_mean = 0, spurs_mean_of_pairs = 0;
  double clusters_mean_of_pairs = 0;
  double slope = 0;  // clusters on a spur more
};

// What the second pass tells; trees = 0 where no cluster was counted.
struct SecondPass {
  int trees = 0;
  int part_trees = 0;                          // of these, counted by some limbs
  std::vector<double> clusters;                // floral ones on each tree, the latest count of it
  orchard::Estimate floral_clusters_per_tree;  // now on the trees, 90 %
  orchard::Estimate floral_fraction;           // of spurs left, as seen
  double flowering_spurs_target = 0;           // per tree
  orchard::Estimate clusters_to_take_per_tree; // positive: take; negative: short
  WinterHelp winter;                           // of second_pass_and_winter
};

// Errors: "unknown_block", "no_block_settings", and those of orchard::work_out_target.
base::Result<BlockTarget> block_target(const ledger::Season& season, const std::string& block);
base::Result<BlockTarget> block_target(const ledger::BlockSeason& block);
// As it was before a frost, or would be without it; the same errors.
base::Result<BlockTarget> target_before_frost(const ledger::BlockSeason& block);
FrostDamage frost_damage(const ledger::BlockSeason& block);
SecondPass second_pass(const ledger::BlockSeason& block);
// The same, led by the winter's counts where that is tighter. Walks all of them: for a page, not
// for every count.
SecondPass second_pass_and_winter(const ledger::BlockSeason& block);

}  // namespace nthtree::advice
