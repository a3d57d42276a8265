// SPDX-License-Identifier: Apache-2.0
#include "orchard/block.h"

#include <doctest/doctest.h>

using namespace nthtree::orchard;

namespace {

Block even() {
  Block block;
  block.id = "b1";
  block.rows = 28;
  block.trees_per_row = 8;
  block.spacing = {4, 1};
  block.stride = 9;
  return block;
}

Block uneven() {
  Block block = even();
  block.rows = 4;
  block.row_lengths = {3, 0, 5, 2};
  return block;
}

}  // namespace

TEST_SUITE("orchard") {
  TEST_CASE("trees of a block are numbered along its rows and found again") {
    for (const Block& block : {even(), uneven()}) {
      std::int64_t expected = 0;
      for (int row = 1; row <= block.rows; ++row) {
        for (int tree = 1; tree <= block.trees_in_row(row); ++tree) {
          CHECK(block.index_of({row, tree}) == expected);
          CHECK(block.address_of(expected) == TreeAddress{row, tree});
          ++expected;
        }
      }
      CHECK(block.trees() == expected);
    }
    CHECK(even().trees() == 224);
    CHECK(uneven().trees() == 10);
  }

  TEST_CASE("a tree outside the block is in no place of it") {
    for (const Block& block : {even(), uneven()}) {
      for (const TreeAddress tree : {TreeAddress{0, 1}, {1, 0}, {-1, 1}, {29, 1}, {1, 9},
                                     {1000000000, 1}, {1, 1000000000}}) {
        CHECK_FALSE(block.has(tree));
        CHECK(block.index_of(tree) == -1);
      }
      CHECK(block.address_of(-1) == TreeAddress{});
      CHECK(block.address_of(block.trees()) == TreeAddress{});
    }
    CHECK_FALSE(uneven().has({2, 1}));  // a row that was grubbed
  }
}
