// SPDX-License-Identifier: Apache-2.0
//
// What really set, and what that says of next year's insurance factor.
//
// Insurance needed = flowering spurs left ÷ fruits harvested, per sampled tree, after any
// thinning is put back by nobody: a block that was thinned shows too high a factor, and the app
// says so. Shrunk towards the variety's default by a normal posterior (stats/posterior_normal.h).
//
//   Learning learnt = learn(season, "b1");
#pragma once

#include <string>
#include <vector>

#include "advice/reason.h"
#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

// A block's own factor lies within some 25 % of the variety's; one tree's fruits against its
// flowers scatter by 35 % before any is seen, as if from four trees (common practice, no source).
inline constexpr double own_factor_log_sd = 0.25;
inline constexpr double tree_log_sd_prior = 0.35, tree_log_sd_weight = 4;

struct TreeYield {  // a tree with both counts
  orchard::TreeAddress tree;
  double flowering = 0, fruits = 0;
  double square = 0;  // of (flowering - own factor × fruits) ÷ mean flowering
};

struct Learning {
  int harvest_trees = 0;             // with a harvest and a spur count
  int return_trees = 0;
  int picked_trees = 0;              // with a harvest, whether or not their spurs were counted
  double picked_per_tree = 0;        // fruits, of all of those
  std::vector<orchard::TreeAddress> never_counted;  // a harvest, and no spurs before
  int weighed_trees = 0;
  double grams_per_fruit = 0;        // of the weighed ones, by their fruits; 0 where there are none
  orchard::Estimate fruits_per_tree;       // 90 %
  orchard::Estimate set_per_spur;          // fruits on one flowering spur, 90 %
  orchard::Estimate own_insurance;         // this block's trees alone
  orchard::Estimate insurance;             // shrunk: next year's
  double shrinkage = 1;                    // 1: all default, 0: all own
  orchard::Estimate return_bloom;          // floral share of spurs in the next spring
  double spurs_to_leave_in_hindsight = 0;  // what would have been the right target
  // What stands behind it: the trees, their sums, and the variance of ln(own factor).
  std::vector<TreeYield> trees;
  double flowering = 0, fruits = 0, squares = 0, own_variance = 0;
  double return_floral = 0, return_spurs = 0;  // sums over the trees of the next spring
  Reason reason;                           // learn_none, learn_few, learn_ok
};

Learning learn(const ledger::Season& season, const std::string& block);

}  // namespace nthtree::advice
