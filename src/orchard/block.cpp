// SPDX-License-Identifier: Apache-2.0
#include "orchard/block.h"

#include <cstddef>

namespace nthtree::orchard {

int Block::trees_in_row(int row) const {
  if (row < 1 || row > rows) return 0;
  if (row_lengths.empty()) return trees_per_row;
  const auto place = static_cast<std::size_t>(row - 1);
  return place < row_lengths.size() ? row_lengths[place] : 0;
}

std::int64_t Block::trees() const {
  if (row_lengths.empty()) return std::int64_t{rows} * trees_per_row;
  std::int64_t total = 0;
  for (int row = 1; row <= rows; ++row) total += trees_in_row(row);
  return total;
}

bool Block::has(const TreeAddress& tree) const {
  return tree.tree >= 1 && tree.tree <= trees_in_row(tree.row);
}

std::int64_t Block::index_of(const TreeAddress& tree) const {
  if (!has(tree)) return -1;
  if (row_lengths.empty()) {
    return std::int64_t{tree.row - 1} * trees_per_row + tree.tree - 1;
  }
  std::int64_t index = tree.tree - 1;
  for (int row = 1; row < tree.row; ++row) index += trees_in_row(row);
  return index;
}

TreeAddress Block::address_of(std::int64_t index) const {
  if (index < 0 || index >= trees()) return {};
  if (row_lengths.empty()) {
    return {static_cast<int>(index / trees_per_row) + 1,
            static_cast<int>(index % trees_per_row) + 1};
  }
  int row = 1;
  while (index >= trees_in_row(row)) index -= trees_in_row(row++);
  return {row, static_cast<int>(index) + 1};
}

}  // namespace nthtree::orchard
