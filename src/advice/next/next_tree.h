// SPDX-License-Identifier: Apache-2.0
//
// Which tree a pruner counts next: close together after a surprise, new advice or for somebody
// new; wide when all is steady; never wider than the lead's floor.
//
//   NextTree next = next_tree(season, "b1", "p3", {4, 17}, now_ms);
//   show(next.tree, next.trees_ahead);
#pragma once

#include <cstdint>
#include <string>

#include "advice/reason.h"
#include "ledger/season.h"

namespace nthtree::advice {

struct NextTree {
  int trees_ahead = 0;             // of the pruner's own trees, the just counted one being 0
  bool same_row = true;            // false: `tree` lies in a later row
  orchard::TreeAddress tree;       // {0, 0} where the block ends before it
  // Where the stride falls. Another one than `tree` where no bearing tree stands there: then `tree`
  // is the one that known/planting.h fixes, and nobody chooses.
  orchard::TreeAddress due;
  bool walks_down = false;         // the pruner works this row from its end
  int stride = 50;                 // the stride in force for this person now
  double expected_more_trees = 0;  // counted trees until the verdict, 0 when reached
  Reason reason;  // next_first, next_new_pruner, next_surprise, next_after_advice,
                  // next_undecided, next_steady, next_floor
};

// from: the tree just counted, or where the pruner stands.
NextTree next_tree(const ledger::Season& season, const std::string& block,
                   const std::string& person, orchard::TreeAddress from, std::int64_t now_ms);

// The stride alone, for a block's overview.
int stride_of(const ledger::Season& season, const std::string& block, const std::string& person,
              std::int64_t now_ms);

}  // namespace nthtree::advice
