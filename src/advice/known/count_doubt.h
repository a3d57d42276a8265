// SPDX-License-Identifier: Apache-2.0
//
// Is a number worth a question before it is kept? Nothing at all, or three times off what the same
// person found on the last trees or off the target: a slip of the finger, far more often than a
// tree. Trees of one block differ by a coefficient of variation of a quarter to a third
// (METHODS.md), so a true count lies three times off for less than one tree in a thousand.
//
// It never refuses: people see the tree, the app does not.
//
//   const CountDoubt doubt = count_doubt(1400, {138, 151, 144}, 146);
//   if (doubt.why != CountDoubt::Why::none) ask(1400, doubt.usual);   // far_from_own, 144
#pragma once

#include <vector>

namespace nthtree::advice {

struct CountDoubt {
  enum class Why { none, far_from_own, far_from_target, nothing };
  Why why = Why::none;
  double usual = 0;  // the number it is far from; 0 of `nothing`, where none is known
};

// `earlier`: what the same person counted before, latest last; of fewer than three nothing is
// concluded. `target`: spurs to leave, 0 where there is none.
CountDoubt count_doubt(int count, const std::vector<int>& earlier, double target);

}  // namespace nthtree::advice
