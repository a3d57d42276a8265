// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/this_tree.h"

#include <doctest/doctest.h>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("a count over the band says how many to take, in steps a hand can cut") {
    SeasonBuilder farm;
    const TreeAdvice advice = this_tree(farm.season, "b1", "lead", 231, farm.now_ms());
    CHECK(advice.action == TreeAction::take_more);
    CHECK(advice.over == doctest::Approx(42).epsilon(0.01));  // the target is 189
    CHECK(advice.spurs == 40);
    CHECK(advice.reason.id == "tree_take_more");
    CHECK_FALSE(advice.far_off);
  }

  TEST_CASE("a count inside the band walks on; one under it is left as it is") {
    SeasonBuilder farm;
    CHECK(this_tree(farm.season, "b1", "lead", 189, farm.now_ms()).action == TreeAction::walk_on);
    CHECK(this_tree(farm.season, "b1", "lead", 216, farm.now_ms()).action == TreeAction::walk_on);
    const TreeAdvice thin = this_tree(farm.season, "b1", "lead", 90, farm.now_ms());
    CHECK(thin.action == TreeAction::leave_as_it_is);
    CHECK(thin.spurs == 100);
    CHECK(thin.far_off);
    CHECK(thin.hands.unit != HandUnit::limbs);
  }

  TEST_CASE("what a person usually misses is put back first") {
    SeasonBuilder farm;
    for (int tree : {5, 15, 25, 35, 45, 55}) {
      farm.tag("p1", 1, tree, 160).check("lead", 1, tree, 200);
    }
    const TreeAdvice advice = this_tree(farm.season, "b1", "p1", 190, farm.now_ms());
    CHECK(advice.spurs_true > 225);
    CHECK(advice.action == TreeAction::take_more);
  }

  TEST_CASE("without a target nothing is advised") {
    SeasonBuilder farm;
    const TreeAdvice advice = this_tree(farm.season, "b9", "p1", 190, farm.now_ms());
    CHECK(advice.action == TreeAction::no_target);
    CHECK(advice.reason.id == "no_target");
    CHECK(advice.spurs == 0);
  }

  TEST_CASE("advice grows with the count and never takes more than there is") {
    SeasonBuilder farm;
    double last = -1e9;
    for (int spurs = 0; spurs <= 1000; spurs += 25) {
      const TreeAdvice advice = this_tree(farm.season, "b1", "p1", spurs, farm.now_ms());
      CHECK(advice.over > last);
      last = advice.over;
      CHECK(advice.spurs >= 0);
      if (advice.action == TreeAction::take_more) CHECK(advice.spurs < advice.spurs_true);
    }
  }
}
