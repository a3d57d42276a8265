// SPDX-License-Identifier: Apache-2.0
#include "advice/next/recount_worklist.h"

#include <doctest/doctest.h>

#include <map>
#include <set>
#include <string>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("a person never checked comes before one checked often") {
    SeasonBuilder farm;
    for (int tree : {5, 15, 25, 35, 45, 55}) {
      farm.tag("often", 1, tree, 200).check("lead", 1, tree, 210);
    }
    farm.tag("often", 1, 65, 200).tag("never", 2, 5, 205);
    const auto list = recount_worklist(farm.season, "b1", farm.now_ms(), 5);
    REQUIRE(list.size() == 2);  // re-counted trees are left out
    CHECK(list[0].person == "never");
    CHECK(list[0].reason.id == "recount_no_pair");
    CHECK(list[0].gain > list[1].gain);
    CHECK(list[0].tag_spurs_hidden == 205);
  }

  TEST_CASE("each further re-count of one person is worth less than the one before") {
    SeasonBuilder farm;
    farm.tags("p1", {200, 210, 190, 205, 195});
    const auto list = recount_worklist(farm.season, "b1", farm.now_ms(), 6);
    REQUIRE(list.size() == 5);
    std::set<int> trees;
    for (std::size_t i = 0; i < list.size(); ++i) {
      trees.insert(list[i].tree.tree);
      if (i > 0) CHECK(list[i].gain <= list[i - 1].gain);
      CHECK(list[i].gain > 0);
    }
    CHECK(trees.size() == 5);
    CHECK(recount_worklist(farm.season, "b1", farm.now_ms(), 2).size() == 2);
    CHECK(recount_worklist(farm.season, "b9", farm.now_ms(), 2).empty());
  }

  TEST_CASE("of tags that are worth the same, the latest is re-counted first: it is the nearest") {
    SeasonBuilder farm;
    farm.tag("p1", 1, 5, 200).tag("p1", 1, 15, 205).tag("p1", 1, 25, 198);
    const auto list = recount_worklist(farm.season, "b1", farm.now_ms(), 3);
    REQUIRE(list.size() == 3);
    CHECK(list[0].tree.tree == 25);
    CHECK(list[1].tree.tree == 15);
    CHECK(list[2].tree.tree == 5);
  }

  TEST_CASE("one doubtful counter never fills the list: the others follow after five trees") {
    // The lead found p1 missing two spurs in five on every other tree, so each of p1's tags is
    // worth more than any of the others'.
    SeasonBuilder farm;
    for (int tree = 1; tree <= 6; ++tree) {
      farm.tag("p1", 9, tree, 200).check("lead", 9, tree, tree % 2 ? 200 : 330);
    }
    for (int tree = 11; tree <= 50; ++tree) farm.tag("p1", 1, tree, 195 + tree % 9);
    for (int tree = 11; tree <= 14; ++tree) {
      farm.tag("p2", 2, tree, 200 + tree % 7).tag("p3", 3, tree, 200 + tree % 5);
    }
    const auto list = recount_worklist(farm.season, "b1", farm.now_ms(), 40);
    std::map<std::string, int> of;
    for (const Recount& recount : list) ++of[recount.person];
    CHECK(of["p1"] == recounts_of_one_person);
    CHECK(of["p2"] == 4);
    CHECK(of["p3"] == 4);
    CHECK(list.size() == 13);
  }

  TEST_CASE("an odd number is looked at first") {
    SeasonBuilder farm;
    farm.tags("p1", {190, 185, 195, 188, 192, 187, 191, 189});
    farm.tag("p1", 7, 50, 520);
    farm.tag("p1", 8, 50, 190);
    const auto list = recount_worklist(farm.season, "b1", farm.now_ms(), 3);
    REQUIRE_FALSE(list.empty());
    CHECK(list[0].tree == nthtree::orchard::TreeAddress{7, 50});
    CHECK(list[0].reason.id == "recount_odd_number");
  }
}
