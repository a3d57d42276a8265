// SPDX-License-Identifier: Apache-2.0
//
// After a frost: which share of the floral buds is alive, and what that makes of the target.
//
// Buds are cut open after the night and told alive or killed (brown inside); the share is estimated
// as the floral fraction is, trees being the sampling units (floral.h). A killed bud stays killed,
// so the last look alone counts: samples written within a day of the newest. What is alive acts on
// the target as the floral fraction does: spurs to leave = fruits × insurance ÷ (floral × alive),
// the same as an insurance factor of insurance ÷ alive: what else may come is insured as before.
// Does not model: fruit that sets and falls for its damaged core, a second bloom on side buds.
//
//   FrostDamage damage = frost_damage(*season.block("b1"));
//   if (damage.known) show(damage.alive);
#pragma once

#include <cstdint>

#include "advice/known/block_target.h"
#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

enum class AfterFrost {
  go_on,           // unpruned trees carry more than is to be left
  stop_pruning,    // they carry no more than that: short already
  count_unpruned,  // nobody counted an unpruned tree, so it cannot be said
};

struct FrostAdvice {
  FrostDamage damage;
  double insurance_before = 0, insurance_now = 0;  // 0 where no target is set
  double target_before = 0, target_now = 0;        // spurs to leave on a tree; 0 the same
  int unpruned_trees = 0;
  orchard::Estimate unpruned_spurs;                // on a tree, 90 %
  AfterFrost what = AfterFrost::count_unpruned;
};

// As known at now_ms; damage.known is false where nobody cut buds after a frost.
FrostAdvice frost_advice(const ledger::BlockSeason& block, std::int64_t now_ms);

}  // namespace nthtree::advice
