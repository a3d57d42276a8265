// SPDX-License-Identifier: Apache-2.0
//
// What one count says to do on that tree, now, before walking on. No statistics: this tree
// against the target. (What it says of the pruner is standing.h.)
//
//   TreeAdvice now = this_tree(season, "b1", "p3", 222, now_ms);
//   // {take_more, over 42, about 40 spurs, in hand terms}
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "advice/hand_terms.h"
#include "advice/known/counting_bias.h"
#include "advice/reason.h"
#include "advice/settings.h"
#include "ledger/season.h"

namespace nthtree::advice {

enum class TreeAction {
  take_more,      // over the band: take about `spurs` more off this tree
  walk_on,        // inside the band
  leave_as_it_is, // under the band: nothing can be put back; take less on the next
  no_target,      // the block has no target yet
};

struct TreeAdvice {
  TreeAction action = TreeAction::no_target;
  double spurs_true = 0;    // the count, corrected for this person's usual misses
  double target = 0;        // spurs to leave on a tree
  double over = 0;          // spurs_true - target; negative: under
  double over_fraction = 0; // of the target
  int spurs = 0;            // to take (take_more) or that are missing (leave_as_it_is); to the
                            // nearest 5 from 20 up, because nobody cuts 41
  HandTerms hands;
  bool far_off = false;     // half as much again, or more: worth telling the lead
  Reason reason;            // tree_take_more | tree_fine | tree_short | no_target
};

// After the mend, call again with the second count.
TreeAdvice this_tree(const ledger::Season& season, const std::string& block,
                     const std::string& person, int spurs, std::int64_t now_ms);

// The same from parts already worked out; target must be above zero.
TreeAdvice this_tree_with(const CountingBias& bias, const orchard::Target& target,
                          const Settings& settings, const std::string& person, int spurs);

}  // namespace nthtree::advice
