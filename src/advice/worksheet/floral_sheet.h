// SPDX-License-Identifier: Apache-2.0
//
// What the floral fraction of known/floral.h was made of: the table of trees, the interval's steps,
// upper against lower branches, and what two precisions would take. For whoever checks it with a
// pencil; the answers themselves are the engine's.
//
//   FloralSheet sheet = floral_sheet(*season.block("b1"));
//   for (const FloralTree& tree : sheet.trees) …
#pragma once

#include <vector>

#include "advice/known/floral.h"
#include "ledger/season.h"
#include "orchard/tree_address.h"

namespace nthtree::advice {

struct FloralTree {
  orchard::TreeAddress tree;
  double floral = 0, buds = 0;
  double expected = 0;  // fraction × buds
  double square = 0;    // of floral - expected
};

// Ratio estimator over trees (W. G. Cochran, Sampling Techniques, 3rd ed. 1977, 3.12) and its
// interval on the logit.
struct FloralRatio {
  double floral = 0, buds = 0;
  orchard::Estimate fraction;
  bool shows_spread = false;     // else the interval is the cautious one, and what follows is 0
  double squares = 0;            // summed over trees
  double variance = 0, design_effect = 0;
  double df = 0, logit = 0, half_width = 0;  // of the logit, 90 %
  double drawn_in = 0;           // what is left of that half width
  double drawn_in_at = 0;        // the constant of the drawing in
};

struct PositionTree {  // with buds of both
  orchard::TreeAddress tree;
  double upper_floral = 0, upper_buds = 0, lower_floral = 0, lower_buds = 0;
  double apart_squared = 0;
};

struct PositionTest {
  bool known = false;       // two trees with buds of both
  double upper_floral = 0, upper_buds = 0, lower_floral = 0, lower_buds = 0;
  double upper = 0, lower = 0;  // fractions
  double trees = 0, df = 0, squares = 0;
  double standard_error = 0, t = 0, p = 1;
};

// What a wanted precision takes.
struct FloralWish {
  double relative = 0, wanted = 0;   // half width: of the fraction, and as it is
  double variance_least = 0, mixed = 0;  // of unrelated buds: mixed × (1 - mixed) ÷ buds
  bool at_least_unrelated = false;   // that one is the larger, and taken
  double variance = 0;
  double trees = 0;                  // needed in all; those cut where they are enough
  double half_width = 0;             // with that many
  double half_width_before = 0;      // with one less; 0 where none is needed
  int branches_more = 0;
};

struct FloralSheet {
  FloralFraction found;     // of the buds; its intervals are those of `ratio`
  bool clusters_seen = false;  // the second pass took the buds' place
  int cluster_trees = 0;
  FloralRatio ratio;
  std::vector<FloralTree> trees;
  PositionTest positions;
  std::vector<PositionTree> position_trees;
  double branches_a_tree = 0;
  FloralWish to_begin, for_verdicts;
};

FloralSheet floral_sheet(const ledger::BlockSeason& block);

}  // namespace nthtree::advice
