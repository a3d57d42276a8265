// SPDX-License-Identifier: Apache-2.0
//
// Where a tree stands: row and place in the row, both counted from 1 as people do in the orchard.
#pragma once

#include <compare>

namespace nthtree::orchard {

struct TreeAddress {
  int row = 0;
  int tree = 0;
  friend auto operator<=>(const TreeAddress&, const TreeAddress&) = default;
};

}  // namespace nthtree::orchard
