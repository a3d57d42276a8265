// SPDX-License-Identifier: Apache-2.0
#include "orchard/block.h"

#include <doctest/doctest.h>

#include <functional>

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

  TEST_CASE("a block's own numbers have their ranges") {
    CHECK(check_block(even()).ok());
    CHECK(check_block(uneven()).ok());
    struct Case {
      const char* field;
      std::function<void(Block&)> spoil;
    };
    const Case cases[] = {
        {"rows", [](Block& b) { b.rows = 0; }},
        {"rows", [](Block& b) { b.rows = 1000000000; }},
        {"trees_per_row", [](Block& b) { b.trees_per_row = -3; }},
        {"row_spacing_m", [](Block& b) { b.spacing.row_m = 0; }},
        {"tree_spacing_m", [](Block& b) { b.spacing.tree_m = 1e9; }},
        {"limbs_per_tree", [](Block& b) { b.limbs_per_tree = 0; }},
        {"tolerance_fraction", [](Block& b) { b.tolerance_fraction = 0; }},
        {"tolerance_fraction", [](Block& b) { b.tolerance_fraction = 1.5; }},
        {"stride", [](Block& b) { b.stride = 0; }},
        {"stride_start", [](Block& b) { b.stride_start = 10; }},
        {"stride_floor", [](Block& b) { b.stride_floor = -1; }},
        {"row_lengths", [](Block& b) { b.row_lengths = {8, 8}; }},
        {"row_lengths", [](Block& b) { b.row_lengths.assign(28, -1); }},
    };
    for (const Case& one : cases) {
      Block block = even();
      one.spoil(block);
      const auto status = check_block(block);
      CHECK_FALSE(status.ok());
      if (status.ok()) return;
      CHECK(status.error().where == one.field);
    }
  }
}
