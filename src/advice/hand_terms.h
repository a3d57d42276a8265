// SPDX-License-Identifier: Apache-2.0
//
// A number of spurs a tree, said in what the hands do: spurs on each limb, whole limbs, or spurs
// on the tree where both would mislead.
//
//   HandTerms hands = hand_terms(24, 12, 180);   // {spurs_on_each_limb, 2}
//
// A limb's worth is spurs_per_tree / limbs_per_tree. Whole limbs are told from 0.8 limbs' worth
// up, and up to a quarter of the tree's limbs, when the correction is to take away; nobody can add
// a limb.
#pragma once

namespace nthtree::advice {

enum class HandUnit {
  none,                // nothing to change
  spurs_on_each_limb,  // "about two spurs fewer on each limb"
  limbs,               // "one more limb"
  spurs_on_the_tree,   // too few to share out: "five spurs fewer on the tree"
};

struct HandTerms {
  HandUnit unit = HandUnit::none;
  double amount = 0;  // > 0, rounded to halves for limbs and to whole spurs otherwise
};

// spurs: how many fewer (positive) or more (negative) to leave on a tree; the sign is not kept.
// limbs_per_tree < 1 counts as not known: spurs on the tree. spurs_per_tree: as now left.
HandTerms hand_terms(double spurs, int limbs_per_tree, double spurs_per_tree);

}  // namespace nthtree::advice
