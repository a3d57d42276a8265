// SPDX-License-Identifier: Apache-2.0
#include "advice/known/rows_pruned.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "advice/review/pace.h"
#include "unit/advice/season_builder.h"

using namespace nthtree;
using namespace nthtree::advice;

namespace {

ledger::RowDone row(int number, const std::string& person = {}) {
  ledger::RowDone done;
  done.block = "b1";
  done.row = number;
  done.person = person;
  return done;
}

const RowPart* part_of(const RowsPruned& rows, int row) {
  for (const RowPart& part : rows.parts) {
    if (part.row == row) return &part;
  }
  return nullptr;
}

RowsPruned rows_of(const test::SeasonBuilder& farm) {
  return rows_pruned(farm.season, "b1", farm.now_ms());
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("a logged row belongs to its author, or to whom the lead names") {
    test::SeasonBuilder farm;
    farm.add(row(1), "p1").add(row(2, "p2"), "lead");
    const RowsPruned rows = rows_of(farm);
    REQUIRE(rows.parts.size() == 2);
    CHECK(rows.parts[0].person == "p1");
    CHECK(rows.parts[1].person == "p2");
    CHECK(rows.parts[1].trees == 90);
    CHECK(rows.trees_logged == 180);
    CHECK(rows.next_row == 3);
    CHECK(rows.doubts.empty());
    CHECK(pace_of(farm.season, "b1", farm.now_ms()).trees_done == 180);
  }

  TEST_CASE("two in a row, a side each or from both ends, are no contradiction") {
    test::SeasonBuilder farm;
    ledger::RowDone left = row(3, "p1"), right = row(3, "p2");
    left.side = ledger::RowSide::left;
    right.side = ledger::RowSide::right;
    ledger::RowDone top = row(4, "p1"), bottom = row(4, "p2");
    top.last_tree = 50;
    bottom.first_tree = 51;
    farm.add(left, "lead").add(right, "lead").add(top, "lead").add(bottom, "lead");
    const RowsPruned rows = rows_of(farm);
    CHECK(rows.doubts.empty());
    CHECK(rows.trees_logged == 180);
    CHECK(part_of(rows, 3)->trees == 45);
  }

  TEST_CASE("a row twice by two people is told and counted once") {
    test::SeasonBuilder farm;
    farm.add(row(7), "p1").add(row(7), "p2");
    const RowsPruned rows = rows_of(farm);
    REQUIRE(rows.doubts.size() == 1);
    CHECK(rows.doubts[0].kind == RowDoubt::Kind::row_twice);
    CHECK(rows.doubts[0].person == "p1");
    CHECK(rows.doubts[0].other_person == "p2");
    CHECK(rows.parts.size() == 2);
    CHECK(rows.trees_logged == 90);
  }

  TEST_CASE("a row that the block has not, and a day of too many trees, are told") {
    test::SeasonBuilder farm;
    farm.add(row(41), "p1");
    for (int number = 1; number <= 5; ++number) farm.add(row(number), "p1");
    const RowsPruned rows = rows_of(farm);
    REQUIRE(rows.doubts.size() == 2);
    CHECK(rows.doubts[0].kind == RowDoubt::Kind::no_such_row);
    CHECK(rows.doubts[0].row == 41);
    CHECK(rows.doubts[1].kind == RowDoubt::Kind::too_many_trees);
    CHECK(rows.doubts[1].trees == 450);
    CHECK(rows.parts.size() == 5);
  }

  TEST_CASE("late entries stand at noon of the day they name") {
    test::SeasonBuilder farm;
    ledger::RowDone late = row(2);
    late.day = "2026-01-30";
    farm.add(late, "p1");
    const RowsPruned rows = rows_of(farm);
    CHECK(farm.season.day_of(rows.parts[0].at_ms) == farm.season.day_of(test::monday_ms) - 3);
  }

  TEST_CASE("where nobody logged, a row is inferred from where counts lie, and marked so") {
    test::SeasonBuilder farm;
    farm.tag("p1", 5, 20, 190).tag("p1", 7, 20, 190).tag("p2", 20, 3, 180);
    const RowsPruned rows = rows_of(farm);
    REQUIRE(part_of(rows, 6));
    CHECK(part_of(rows, 6)->person == "p1");
    CHECK(part_of(rows, 6)->inferred);
    CHECK(part_of(rows, 5)->at_ms < part_of(rows, 7)->at_ms);
    CHECK(part_of(rows, 1) == nullptr);   // before the first counted row: not known
    CHECK(part_of(rows, 13) == nullptr);  // further off than a stride reaches
    CHECK(part_of(rows, 21) == nullptr);
    CHECK(rows.trees_logged == 0);        // what is inferred is not counted as pruned
  }

  TEST_CASE("the row at hand is the one counted in, then the next one the way somebody goes") {
    test::SeasonBuilder farm;
    const auto at_hand = [&](const std::string& person) {
      return row_at_hand(rows_of(farm), *farm.season.block("b1"), person, farm.now_ms());
    };
    CHECK(at_hand("p1") == 1);
    farm.tag("p1", 14, 20, 190);
    CHECK(at_hand("p1") == 14);
    farm.add(row(14), "p1");
    CHECK(at_hand("p1") == 15);
    farm.add(row(15), "p2").add(row(16), "p1");  // every other row is somebody else's
    CHECK(at_hand("p1") == 18);
    farm.add(row(14), "p3").add(row(13), "p3");  // down through the block
    CHECK(at_hand("p3") == 12);
    ledger::RowDone left = row(20);
    left.side = ledger::RowSide::left;
    farm.add(left, "p4");
    CHECK(at_hand("p4") == 21);
    CHECK(at_hand("p2") == 17);
  }

  TEST_CASE("an hour of 300 trees, and a row somebody else has noted, are asked about before") {
    test::SeasonBuilder farm;
    farm.add(row(1), "p1");
    const auto doubts = [&](int number, const std::string& author) {
      return doubts_before(farm.season, {row(number)}, author, farm.now_ms());
    };
    REQUIRE(doubts(2, "p1").size() == 1);
    CHECK(doubts(2, "p1")[0].kind == RowDoubt::Kind::too_fast);
    CHECK(doubts(2, "p1")[0].other_row == 1);
    CHECK(doubts(2, "p1")[0].other_block == "b1");
    farm.minutes(50);  // 90 trees in fifty minutes: fast, and possible
    CHECK(doubts(2, "p1").empty());
    REQUIRE(doubts(1, "p2").size() == 1);
    CHECK(doubts(1, "p2")[0].kind == RowDoubt::Kind::row_twice);
    CHECK(doubts(1, "p2")[0].person == "p1");
    CHECK(doubts(41, "p2")[0].kind == RowDoubt::Kind::no_such_row);
    CHECK(doubts(2, "lead").empty());
  }

  TEST_CASE("what a lead enters for others, or late, is not too fast; a day too full is asked once") {
    test::SeasonBuilder farm;
    for (int number = 1; number <= 4; ++number) farm.add(row(number, "p1"), "lead");
    CHECK(doubts_before(farm.season, {row(6, "p2")}, "lead", farm.now_ms()).empty());
    ledger::RowDone late = row(7);
    late.day = "2026-01-30";
    CHECK(doubts_before(farm.season, {late}, "lead", farm.now_ms()).empty());
    const auto doubts = doubts_before(farm.season, {row(5, "p1")}, "lead", farm.now_ms());
    REQUIRE(doubts.size() == 1);
    CHECK(doubts[0].kind == RowDoubt::Kind::too_many_trees);
    const std::vector<ledger::RowDone> day = {row(31, "p3"), row(32, "p3"), row(33, "p3"),
                                              row(34, "p3"), row(35, "p3")};
    REQUIRE(doubts_before(farm.season, day, "lead", farm.now_ms()).size() == 1);
    CHECK(doubts_before(farm.season, day, "lead", farm.now_ms())[0].trees == 450);
    farm.add(row(5, "p1"), "lead");
    CHECK(doubts_before(farm.season, {row(6, "p1")}, "lead", farm.now_ms()).empty());
  }

  TEST_CASE("a logged row is believed before any count in it") {
    test::SeasonBuilder farm;
    farm.tag("p1", 5, 20, 190).add(row(5), "p2");
    const RowsPruned rows = rows_of(farm);
    REQUIRE(rows.parts.size() == 1);
    CHECK(rows.parts[0].person == "p2");
    CHECK_FALSE(rows.parts[0].inferred);
  }
}
