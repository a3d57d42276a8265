// SPDX-License-Identifier: Apache-2.0
#include "advice/known/exercise_progress.h"

#include <doctest/doctest.h>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::orchard::TreeAddress;
using nthtree::test::SeasonBuilder;

namespace {

void count(SeasonBuilder& farm, const std::string& exercise, const std::string& person, int tree) {
  farm.add(nthtree::ledger::ExerciseCount{exercise, "b1", {1, tree}, 1, 100 + tree}, person);
}

ExerciseProgress now(const SeasonBuilder& farm) {
  const auto& block = *farm.season.block("b1");
  return exercise_progress(block, latest_exercise(block));
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("the trees of an exercise are those counted for it; the second round goes back") {
    SeasonBuilder farm;
    for (int tree : {3, 9, 5}) count(farm, "e1", "p1", tree);
    ExerciseProgress progress = now(farm);
    CHECK(progress.trees == std::vector<TreeAddress>{{1, 3}, {1, 9}, {1, 5}});
    CHECK(progress.left_for("p1") == 3);
    CHECK(progress.left_for("p2") == 6);
    CHECK(progress.done_by("p2") == 0);
    REQUIRE(progress.next_for("p1"));
    CHECK(progress.next_for("p1")->tree == TreeAddress{1, 5});
    CHECK(progress.next_for("p1")->round == 2);
    REQUIRE(progress.next_for("p2"));
    CHECK(progress.next_for("p2")->tree == TreeAddress{1, 3});
    CHECK(progress.next_for("p2")->round == 1);
    for (int tree : {5, 9, 3}) count(farm, "e1", "p1", tree);
    progress = now(farm);
    CHECK_FALSE(progress.next_for("p1"));
    CHECK(progress.left_for("p1") == 0);
  }

  TEST_CASE("a tree added later is counted by everybody, and a third count owes nothing back") {
    SeasonBuilder farm;
    for (int times = 0; times < 3; ++times) count(farm, "e1", "p1", 3);
    count(farm, "e1", "p2", 4);
    const ExerciseProgress progress = now(farm);
    CHECK(progress.done_by("p1") == 2);
    CHECK(progress.left_for("p1") == 2);
    CHECK(progress.next_for("p1")->tree == TreeAddress{1, 4});
    CHECK(progress.next_for("p2")->tree == TreeAddress{1, 3});
  }

  TEST_CASE("the exercise begun last is the one that goes on") {
    SeasonBuilder farm;
    CHECK(latest_exercise(nthtree::ledger::BlockSeason{}).empty());
    count(farm, "e2", "p1", 1);
    count(farm, "e1", "p1", 2);
    count(farm, "e2", "p2", 1);  // a late count does not bring the older one back
    CHECK(latest_exercise(*farm.season.block("b1")) == "e1");
    CHECK(now(farm).trees.size() == 1);
    CHECK(exercise_progress(*farm.season.block("b1"), "e9").trees.empty());
  }
}
