// SPDX-License-Identifier: Apache-2.0
//
// What a target means beside its number: seeds at bloom, on-year against off-year, how far over
// unpruned trees are, the limbs that are to come off, and the thinning that is saved.
//
//   Consequences what = consequences(season, "b1");
#pragma once

#include <string>
#include <vector>

#include "advice/hand_terms.h"
#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

struct YearCase {  // the same block at another floral fraction
  double floral_fraction = 0;
  double spurs_to_leave = 0;
  double spurs_to_take = 0;      // from an unpruned tree; 0 where not known
};

struct Consequences {
  bool known = false;            // there is a target
  double seeds_per_tree_at_bloom = 0;       // at target
  double seeds_per_tree_unpruned = 0;       // 0 where no before-count
  int before_trees = 0;
  orchard::Estimate unpruned_spurs;         // per tree, 90 %
  std::vector<double> before_counts;        // what it is the mean of
  double before_sd = 0;                     // of them; 0 of a single one
  orchard::Estimate spurs_to_take;          // per tree
  double over_fraction_unpruned = 0;        // of target
  double limbs_worth_to_take = 0;
  YearCase on_year, off_year;               // 90 % and 30 % floral
  // If nothing were pruned: fruitlets to thin by hand and what that takes, a tree and a hectare.
  double fruitlets_to_thin_per_tree = 0;
  double thinning_hours_per_ha = 0, thinning_hours_block = 0;
  double thinning_cost_block = 0;           // 0 where the farm has set no wage
};

Consequences consequences(const ledger::Season& season, const std::string& block);

}  // namespace nthtree::advice
