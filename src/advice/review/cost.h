// SPDX-License-Identifier: Apache-2.0
//
// What being off target costs, at the farm's own rates: spurs too many are fruitlets to thin by
// hand, spurs too few are fruit that will not grow.
//
// Excess: (fruitlets set beyond target) ÷ fruitlets an hour × wage. Shortfall: fruits short ×
// fruit mass × price. In the farm's own money. Not modelled: size lost to crowding, biennial
// bearing next year.
//
//   Cost cost = cost_of(season, "b1", now_ms);
#pragma once

#include <cstdint>
#include <string>

#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

struct Cost {
  bool known = false;                  // a target and at least one count
  bool has_rates = false;              // the farm's wage and price are set
  orchard::Estimate excess_spurs_per_tree;     // over target, never below 0
  orchard::Estimate short_spurs_per_tree;      // under target, never below 0
  orchard::Estimate fruitlets_to_thin;         // whole block
  orchard::Estimate thinning_hours, thinning_cost;
  orchard::Estimate crop_lost_kg, crop_lost_value;
  double kg_per_fruit = 0;             // as the goal says it
  double cost_per_spur_over = 0;       // one spur too many on every tree of the block
  double cost_per_spur_short = 0;
  double cost_ratio = 1;               // the two against each other: a proposal for the setting
};

Cost cost_of(const ledger::Season& season, const std::string& block, std::int64_t now_ms);

}  // namespace nthtree::advice
