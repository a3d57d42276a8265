// SPDX-License-Identifier: Apache-2.0
//
// Which limbs of a tree to count: from the bottom up, a random one of the first `step`, then every
// step-th. The app draws; people who choose take the handy, the low, the full ones.
//
// Every spur belongs to a limb: what sits on the leader to the next limb above it, and the top is a
// limb. Limb 1 is the lowest.
//
//   LimbDraw draw = draw_limbs(19, 5, seed);   // limb 3, then every 4th: 3 7 11 15 19
//   for (int i = 0; i < draw.drawn(); ++i) ask(draw.limb(i));
#pragma once

#include <cstdint>
#include <vector>

#include "base/result.h"
#include "orchard/tree_address.h"

namespace nthtree::orchard {

struct LimbDraw {
  int limbs = 0;  // on the tree, by the rule above
  int start = 0;  // 1 … step
  int step = 0;

  int drawn() const;         // how many limbs are to be counted
  int limb(int i) const { return start + i * step; }  // number of the i-th of them, from 0
  friend bool operator==(const LimbDraw&, const LimbDraw&) = default;
};

// Nothing wrong, or the error of the first field that is: limbs_in_tree, step, start.
base::Status check_limb_draw(const LimbDraw& draw);

// About `wanted` limbs of so many; the same seed draws the same, so that asking again does not
// help somebody to a handier limb. limbs, wanted >= 1.
LimbDraw draw_limbs(int limbs, int wanted, std::uint64_t seed);
// A seed for a tree, from that of its block.
std::uint64_t seed_of_tree(std::uint64_t block_seed, const TreeAddress& tree);

// L times the mean of the limbs counted; 0 where none was.
double tree_of_limbs(const std::vector<int>& counted, int limbs_in_tree);

}  // namespace nthtree::orchard
