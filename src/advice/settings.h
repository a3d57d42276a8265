// SPDX-License-Identifier: Apache-2.0
//
// What the farm decided about advice, gathered from the farm's and the block's records, in the
// trade's words. Everything in advice/ that judges takes these and nothing else from the farm.
//
//   Settings settings = settings_for(season, *season.block("b1"));
#pragma once

#include "ledger/season.h"

namespace nthtree::advice {

struct Settings {
  double tolerance_fraction = 0.15;  // of the target, either way: the band
  double sureness = 0.95;            // over a whole day of looking after every tree, 0.8 … 0.99
  double too_many_cost_ratio = 1;    // cost of a spur too many against one too few
  int limbs_per_tree = 12;
  int stride = 50;        // as planned for the block
  int stride_floor = 100; // never count less often than every this many trees
  friend bool operator==(const Settings&, const Settings&) = default;
};

// Out-of-range values are brought to the nearest allowed one (tolerance 0.01 … 0.9, sureness
// 0.8 … 0.99, cost ratio 1/20 … 20), so that a typing slip cannot switch the advice off.
Settings settings_for(const ledger::Season& season, const ledger::BlockSeason& block);

}  // namespace nthtree::advice
