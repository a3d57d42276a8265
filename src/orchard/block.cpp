// SPDX-License-Identifier: Apache-2.0
#include "orchard/block.h"

#include <cstddef>

#include "base/text.h"
#include "orchard/limits.h"

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

base::Status check_block(const Block& block) {
  struct Check {
    double value;
    Range range;
    const char* field;
  };
  const bool even_rows = block.row_lengths.empty();
  const Check checks[] = {
      {static_cast<double>(block.rows), limits::rows, "rows"},
      {static_cast<double>(block.trees_per_row), limits::trees_per_row, "trees_per_row"},
      {block.spacing.row_m, limits::row_spacing_m, "row_spacing_m"},
      {block.spacing.tree_m, limits::tree_spacing_m, "tree_spacing_m"},
      {static_cast<double>(block.limbs_per_tree), limits::limbs_per_tree, "limbs_per_tree"},
      {block.tolerance_fraction, limits::tolerance_fraction, "tolerance_fraction"},
      {static_cast<double>(block.stride), limits::stride, "stride"},
      {static_cast<double>(block.stride_start), {1, static_cast<double>(block.stride)},
       "stride_start"},
      {static_cast<double>(block.stride_floor), limits::stride, "stride_floor"},
  };
  for (const Check& check : checks) {
    if (auto bad = refuse_outside(check.value, check.range, check.field)) return *bad;
  }
  if (!even_rows && block.row_lengths.size() != static_cast<std::size_t>(block.rows)) {
    return base::Error{"wrong_length",
                       base::print("%zu lengths given: one a row, %d, is allowed",
                                   block.row_lengths.size(), block.rows),
                       "row_lengths"};
  }
  for (const int length : block.row_lengths) {
    if (auto bad = refuse_outside(length, limits::row_length, "row_lengths")) return *bad;
  }
  return base::Ok{};
}

}  // namespace nthtree::orchard
