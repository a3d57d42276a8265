// SPDX-License-Identifier: Apache-2.0
//
// The block as it is planted: which addresses hold a tree that bears, and which do not (missing,
// replanted, a pollinizer, another variety). Everything that counts trees counts these.
//
// Addresses stay as people number them: a gap keeps its number. What was said last of an address
// holds. A count that is due at an address without a bearing tree is made at a tree fixed
// beforehand, so that nobody chooses: the next bearing one the way the row is walked, of the next
// row from its first tree on where the row ends.
//
//   Planting planting = planting_of(*season.block("b1"), now_ms);
//   planting.bearing();                        // trees to prune
//   planting.count_instead({4, 17});           // {4, 18}, where 17 is missing
#pragma once

#include <array>
#include <cstdint>
#include <map>

#include "ledger/season.h"

namespace nthtree::advice {

class Planting {
 public:
  Planting() = default;
  explicit Planting(const orchard::Block& block) : block_(&block) {}

  void set(const orchard::TreeAddress& tree, ledger::TreeKind kind);

  ledger::TreeKind kind_of(const orchard::TreeAddress& tree) const;
  bool is_bearing(const orchard::TreeAddress& tree) const;  // false outside the block
  std::int64_t bearing() const;                             // in the whole block
  int bearing_in_row(int row) const;
  int bearing_between(int row, int first_tree, int last_tree) const;  // both included
  std::int64_t places() const { return block_ ? block_->trees() : 0; }
  const orchard::Block* block() const { return block_; }  // null where its settings are unknown
  // By ledger::TreeKind; bearing ones are not counted here.
  const std::array<int, 5>& others() const { return others_; }

  // What an area bears is shared out among the trees that bear: each gap widens the others' share.
  orchard::Spacing spacing() const;
  // The tree to count where `due` is to be counted; {0, 0} where no bearing tree follows.
  // walks_down: the row is worked from its end.
  orchard::TreeAddress count_instead(const orchard::TreeAddress& due,
                                     bool walks_down = false) const;

 private:
  const orchard::Block* block_ = nullptr;  // not owned; outlives this
  std::map<orchard::TreeAddress, ledger::TreeKind> not_bearing_;
  std::array<int, 5> others_{};
};

// As known at now_ms. A block whose settings have not arrived has no tree.
Planting planting_of(const ledger::BlockSeason& block, std::int64_t now_ms);
// Of a block whose settings are being typed.
Planting planting_of(const orchard::Block& block,
                     const ledger::Entries<ledger::TreeState>& states, std::int64_t now_ms);

}  // namespace nthtree::advice
