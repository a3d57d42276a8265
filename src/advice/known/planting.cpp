// SPDX-License-Identifier: Apache-2.0
#include "advice/known/planting.h"

#include <algorithm>
#include <iterator>

#include "advice/internal/current.h"
#include "orchard/limits.h"

namespace nthtree::advice {

void Planting::set(const orchard::TreeAddress& tree, ledger::TreeKind kind) {
  if (!block_ || !block_->has(tree)) return;
  const auto found = not_bearing_.find(tree);
  if (found != not_bearing_.end()) {
    --others_[static_cast<std::size_t>(found->second)];
    not_bearing_.erase(found);
  }
  if (kind == ledger::TreeKind::bearing) return;
  ++others_[static_cast<std::size_t>(kind)];
  not_bearing_.emplace(tree, kind);
}

ledger::TreeKind Planting::kind_of(const orchard::TreeAddress& tree) const {
  const auto found = not_bearing_.find(tree);
  return found == not_bearing_.end() ? ledger::TreeKind::bearing : found->second;
}

bool Planting::is_bearing(const orchard::TreeAddress& tree) const {
  return block_ && block_->has(tree) && !not_bearing_.contains(tree);
}

std::int64_t Planting::bearing() const {
  return places() - static_cast<std::int64_t>(not_bearing_.size());
}

int Planting::bearing_in_row(int row) const {
  return block_ ? bearing_between(row, 1, block_->trees_in_row(row)) : 0;
}

int Planting::bearing_between(int row, int first_tree, int last_tree) const {
  if (!block_) return 0;
  const int first = std::max(1, first_tree);
  const int last = std::min(last_tree, block_->trees_in_row(row));
  if (last < first) return 0;
  const auto from = not_bearing_.lower_bound({row, first});
  const auto to = not_bearing_.upper_bound({row, last});
  return last - first + 1 - static_cast<int>(std::distance(from, to));
}

orchard::Spacing Planting::spacing() const {
  if (!block_) return {};
  orchard::Spacing spacing = block_->spacing;
  if (bearing() < 1) return spacing;
  const double share = static_cast<double>(places()) / static_cast<double>(bearing());
  spacing.tree_m = std::min(spacing.tree_m * share, orchard::limits::tree_spacing_m.high);
  return spacing;
}

orchard::TreeAddress Planting::count_instead(const orchard::TreeAddress& due,
                                             bool walks_down) const {
  if (!block_ || !block_->has(due)) return {};
  for (int tree = due.tree; walks_down && tree >= 1; --tree) {
    if (is_bearing({due.row, tree})) return {due.row, tree};
  }
  const int passed = walks_down ? block_->trees_in_row(due.row) - due.tree + 1 : 0;
  for (auto index = block_->index_of(due) + passed; index < block_->trees(); ++index) {
    const orchard::TreeAddress tree = block_->address_of(index);
    if (!not_bearing_.contains(tree)) return tree;
  }
  return {};
}

Planting planting_of(const orchard::Block& block,
                     const ledger::Entries<ledger::TreeState>& states, std::int64_t now_ms) {
  Planting planting(block);
  for_current(states, now_ms,
              [&](const auto& entry) { planting.set(entry.body.tree, entry.body.is); });
  return planting;
}

Planting planting_of(const ledger::BlockSeason& block, std::int64_t now_ms) {
  if (!block.block) return {};
  return planting_of(*block.block, block.tree_states, now_ms);
}

}  // namespace nthtree::advice
