// SPDX-License-Identifier: Apache-2.0
//
// One block: one variety, planted in rows, pruned to one target.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "orchard/target.h"
#include "orchard/tree_address.h"

namespace nthtree::orchard {

struct Block {
  std::string id;    // short and stable: "b1"
  std::string name;
  std::string variety;
  int rows = 0;
  int trees_per_row = 0;
  std::vector<int> row_lengths;  // one a row where rows differ; empty otherwise
  Spacing spacing;
  int limbs_per_tree = 12;  // to say a correction in what the hands do
  TargetInput target;
  double tolerance_fraction = 0.15;  // of the target, either way
  int stride = 50;                   // count every stride-th tree …
  int stride_start = 1;              // … from this one on (a random start, 1 … stride)
  int stride_floor = 100;            // never wider than this, however steady a pruner is
  std::string green_tip_date;        // expected, "2026-03-28"; empty where not known
  std::string station;         // whose days foretell its buds; empty: the one that spoke last
  // The last day of a second pass, before bloom; empty: all is finished before green tip.
  std::string second_pass_until;
  friend bool operator==(const Block&, const Block&) = default;

  int trees_in_row(int row) const;          // 0 where there is no such row
  std::int64_t trees() const;               // in the whole block
  bool has(const TreeAddress& tree) const;  // is there such a tree?

  // Trees are numbered along the rows, row 1 tree 1 being 0. -1 where there is no such tree.
  std::int64_t index_of(const TreeAddress& tree) const;
  // The reverse; the address {0, 0} where the index is outside the block.
  TreeAddress address_of(std::int64_t index) const;
};

}  // namespace nthtree::orchard
