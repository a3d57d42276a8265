// SPDX-License-Identifier: Apache-2.0
//
// What one count says to do on that tree, now, before walking on. No statistics: this tree
// against the target. (What it says of the pruner is standing.h.)
//
// The tree is judged by the number that was counted, the one on the tag, against the band that
// everybody was told: whoever counted 254 of 254 sees that it is right. What this person usually
// misses is no part of it: it is known of many trees, not of this one, and acts where trees are
// averaged, in the standing, which names it.
//
//   TreeAdvice now = this_tree(season, "b1", 222);
//   // {take_more, over 42, about 40 spurs, in hand terms}
#pragma once

#include <string>

#include "advice/hand_terms.h"
#include "advice/reason.h"
#include "advice/settings.h"
#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

enum class TreeAction {
  take_more,      // over the band: take about `spurs` more off this tree
  walk_on,        // inside the band
  leave_as_it_is, // under the band: nothing can be put back; take less on the next
  no_target,      // the block has no target yet
};

struct TreeAdvice {
  TreeAction action = TreeAction::no_target;
  double target = 0;        // spurs to leave on a tree
  double over = 0;          // the count less the whole target; negative: under, by no more than
                            // an unpruned tree of the block could have kept
  double over_fraction = 0; // of the target
  int spurs = 0;            // to take (take_more) or that are missing (leave_as_it_is); to the
                            // nearest 5 from 20 up, because nobody cuts 41
  HandTerms hands;
  bool far_off = false;     // half of what could be left or less, twice it or more
  Reason reason;            // tree_take_more | tree_fine | tree_short | all_stays | no_target
};

// The band as it is told: whole spurs, both ends inside.
struct TreeBand {
  int low = 0, target = 0, high = 0;
  bool holds(int spurs) const { return spurs >= low && spurs <= high; }
};
TreeBand tree_band(double target, double tolerance_fraction);

// So far from the target that it is rather another kind of tree, or a slip, than chance: with a
// coefficient of variation of a quarter, one tree in two hundred. `share`: spurs ÷ target.
constexpr bool is_far_off(double share) { return share <= 0.5 || share >= 2; }

// After the mend, call again with the second count. Every tree is taken to be of middling size.
TreeAdvice this_tree(const ledger::Season& season, const std::string& block, int spurs);

// The same from parts already worked out; target must be above zero. size_factor: what a tree of
// this size is left, of the target (known/sizes.h). unpruned_spurs: mean of the unpruned trees
// counted in the block, 0 where there is none.
TreeAdvice this_tree_with(const orchard::Target& target, const Settings& settings, int spurs,
                          double size_factor = 1, double unpruned_spurs = 0);

}  // namespace nthtree::advice
