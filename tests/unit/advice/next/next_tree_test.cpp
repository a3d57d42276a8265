// SPDX-License-Identifier: Apache-2.0
#include "advice/next/next_tree.h"

#include <doctest/doctest.h>

#include <numeric>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::ledger::Direction;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("somebody new is counted close together, and told why") {
    SeasonBuilder farm;
    const NextTree first = next_tree(farm.season, "b1", "p1", {1, 1}, farm.now_ms());
    CHECK(first.reason.id == "next_first");
    CHECK(first.stride < 50);
    farm.tag("p1", 1, 11, 195);
    CHECK(next_tree(farm.season, "b1", "p1", {1, 11}, farm.now_ms()).reason.id ==
          "next_new_pruner");
  }

  TEST_CASE("a steady pruner is counted wide, never wider than the lead's floor") {
    SeasonBuilder farm;
    auto settings = nthtree::test::block_settings("b1");
    settings.block.stride = 40;
    settings.block.stride_floor = 60;
    farm.block(settings);
    const int spurs[] = {189, 170, 205, 181, 195, 190, 176, 200, 186, 193, 179, 191};
    int tree = 3;
    for (int s : spurs) {
      farm.tag("p1", 2, tree, s).check("lead", 2, tree, s);
      tree += 7;
    }
    const NextTree next = next_tree(farm.season, "b1", "p1", {2, 80}, farm.now_ms());
    CHECK(next.stride > 40);
    CHECK(next.stride <= 60);
    CHECK(next.expected_more_trees == 0);
  }

  TEST_CASE("a surprise and new advice bring counts close together again") {
    SeasonBuilder farm;
    farm.tags("p1", {189, 180, 192, 187, 195, 185, 190, 183});
    const int wide = stride_of(farm.season, "b1", "p1", farm.now_ms());
    SeasonBuilder surprised = farm;
    surprised.tag("p1", 5, 9, 340);
    const NextTree after = next_tree(surprised.season, "b1", "p1", {5, 9}, surprised.now_ms());
    CHECK(after.reason.id == "next_surprise");
    CHECK(after.stride <= wide);
    SeasonBuilder told = farm;
    told.advice("p1", Direction::harder, 30);
    CHECK(next_tree(told.season, "b1", "p1", {5, 9}, told.now_ms()).reason.id ==
          "next_after_advice");
  }

  TEST_CASE("the next tree lies ahead in the row, or back along the next one") {
    SeasonBuilder farm;
    farm.tag("p1", 3, 10, 200);
    NextTree next = next_tree(farm.season, "b1", "p1", {3, 10}, farm.now_ms());
    CHECK(next.same_row);
    CHECK(next.tree.row == 3);
    CHECK(next.tree.tree == 10 + next.trees_ahead);
    next = next_tree(farm.season, "b1", "p1", {3, 88}, farm.now_ms());
    CHECK_FALSE(next.same_row);
    CHECK(next.tree.row == 4);
    CHECK(next.walks_down);
    CHECK(next.tree.tree == 90 + 1 - (next.trees_ahead - 2));
  }

  TEST_CASE("who walks a row from its end is sent on that way") {
    SeasonBuilder farm;
    farm.tag("p1", 3, 80, 200).tag("p1", 3, 70, 190);
    const NextTree next = next_tree(farm.season, "b1", "p1", {3, 70}, farm.now_ms());
    CHECK(next.walks_down);
    CHECK(next.tree.tree == 70 - next.trees_ahead);
  }

  TEST_CASE("where a gap is due, the tree to count instead is named, and what was due is told") {
    SeasonBuilder farm;
    farm.tag("p1", 3, 10, 200);
    const NextTree plain = next_tree(farm.season, "b1", "p1", {3, 10}, farm.now_ms());
    CHECK(plain.due == plain.tree);
    farm.add(nthtree::ledger::TreeState{"b1", plain.tree, nthtree::ledger::TreeKind::missing}, "p1");
    const NextTree next = next_tree(farm.season, "b1", "p1", {3, 10}, farm.now_ms());
    CHECK(next.due == plain.tree);
    CHECK(next.tree.tree == plain.tree.tree + 1);
    SeasonBuilder down;
    down.tag("p1", 3, 80, 200).tag("p1", 3, 70, 190);
    const auto due = next_tree(down.season, "b1", "p1", {3, 70}, down.now_ms()).tree;
    down.add(nthtree::ledger::TreeState{"b1", due, nthtree::ledger::TreeKind::replant}, "p1");
    CHECK(next_tree(down.season, "b1", "p1", {3, 70}, down.now_ms()).tree.tree == due.tree - 1);
  }

  TEST_CASE("past the last row there is no tree, and no block gives the plain default") {
    SeasonBuilder farm;
    farm.tag("p1", 40, 89, 200);
    const NextTree next = next_tree(farm.season, "b1", "p1", {40, 89}, farm.now_ms());
    CHECK(next.tree.row == 0);
    CHECK(next_tree(farm.season, "b9", "p1", {1, 1}, farm.now_ms()).trees_ahead == 0);
  }

  TEST_CASE("a stride meets every place of the row, and keeps under its floor") {
    for (int row : {28, 50, 90, 97}) {
      for (int floor : {1, 2, 30, 90, 100}) {
        for (int stride : {2, 4, 10, 15, 24, 30, 45, 50, 90, 100}) {
          SeasonBuilder farm;
          auto settings = nthtree::test::block_settings("b1");
          settings.block.trees_per_row = row;
          settings.block.stride = stride;
          settings.block.stride_floor = floor;
          farm.block(settings);
          farm.tags("p1", {189, 180, 192, 187, 195, 185, 190, 183});
          const int now = stride_of(farm.season, "b1", "p1", farm.now_ms());
          CAPTURE(row);
          CAPTURE(floor);
          CAPTURE(stride);
          CHECK(now >= 1);
          CHECK(now <= floor);
          CHECK(std::gcd(now, row) == 1);
        }
      }
    }
  }
}
