// SPDX-License-Identifier: Apache-2.0
#include "advice/known/frost.h"

#include "advice/internal/unpruned.h"

namespace nthtree::advice {

FrostAdvice frost_advice(const ledger::BlockSeason& block, std::int64_t now_ms) {
  FrostAdvice advice;
  advice.damage = frost_damage(block);
  const Unpruned unpruned = unpruned_trees(block, now_ms);
  advice.unpruned_trees = unpruned.trees;
  advice.unpruned_spurs = unpruned.spurs;
  const auto before = target_before_frost(block);
  const auto now = block_target(block);
  if (!before || !now) return advice;
  advice.target_before = before->target.spurs_to_leave_per_tree.value;
  advice.target_now = now->target.spurs_to_leave_per_tree.value;
  advice.insurance_before = block.block->target.insurance_factor;
  advice.insurance_now = advice.insurance_before / now->alive.value;
  if (unpruned.trees == 0) return advice;
  advice.what = unpruned.spurs.value > advice.target_now ? AfterFrost::go_on
                                                         : AfterFrost::stop_pruning;
  return advice;
}

}  // namespace nthtree::advice
