// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/this_tree.h"

#include <doctest/doctest.h>

#include "advice/known/counting_bias.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("a count over the band says how many to take, in steps a hand can cut") {
    SeasonBuilder farm;
    const TreeAdvice advice = this_tree(farm.season, "b1", 231);
    CHECK(advice.action == TreeAction::take_more);
    CHECK(advice.over == doctest::Approx(42).epsilon(0.01));  // the target is 189
    CHECK(advice.spurs == 40);
    CHECK(advice.reason.id == "tree_take_more");
    CHECK_FALSE(advice.far_off);
  }

  TEST_CASE("a count inside the band walks on; one under it is left as it is") {
    SeasonBuilder farm;
    CHECK(this_tree(farm.season, "b1", 189).action == TreeAction::walk_on);
    CHECK(this_tree(farm.season, "b1", 216).action == TreeAction::walk_on);
    const TreeAdvice thin = this_tree(farm.season, "b1", 90);
    CHECK(thin.action == TreeAction::leave_as_it_is);
    CHECK(thin.spurs == 100);
    CHECK(thin.far_off);
    CHECK(thin.hands.unit != HandUnit::limbs);
  }

  TEST_CASE("a count on the target was told to take more, because its counter misses some") {
    SeasonBuilder farm;
    for (int tree : {5, 15, 25, 35, 45, 55}) {
      farm.tag("p1", 1, tree, 160).check("lead", 1, tree, 200);
    }
    CHECK(counting_bias(farm.season, farm.now_ms()).of("p1").ratio.value > 1.15);
    CHECK(this_tree(farm.season, "b1", 189).action == TreeAction::walk_on);
  }

  TEST_CASE("the band as it is told and the word on the tree part at the same number") {
    const TreeBand band = tree_band(253.6, 0.15);
    CHECK(band.low == 216);
    CHECK(band.target == 254);
    CHECK(band.high == 292);
    nthtree::orchard::Target target;
    target.spurs_to_leave_per_tree.value = 253.6;
    Settings settings;
    settings.tolerance_fraction = 0.15;
    const auto action = [&](int spurs) { return this_tree_with(target, settings, spurs).action; };
    CHECK(action(215) == TreeAction::leave_as_it_is);
    CHECK(action(216) == TreeAction::walk_on);
    CHECK(action(292) == TreeAction::walk_on);
    CHECK(action(293) == TreeAction::take_more);
    CHECK(this_tree_with(target, settings, 215).over == -39);
  }

  TEST_CASE("half the target or twice it is far off") {
    SeasonBuilder farm;
    CHECK(this_tree(farm.season, "b1", 94).far_off);
    CHECK_FALSE(this_tree(farm.season, "b1", 96).far_off);
    CHECK(this_tree(farm.season, "b1", 378).far_off);
    CHECK_FALSE(this_tree(farm.season, "b1", 374).far_off);
  }

  TEST_CASE("a tree was told short of what no tree of the block carries") {
    SeasonBuilder farm;
    farm.add(nthtree::ledger::BeforeCount{"b1", {30, 1}, 100}, "lead");
    const TreeAdvice taken = this_tree(farm.season, "b1", 70);
    CHECK(taken.action == TreeAction::leave_as_it_is);
    CHECK(taken.over == -30);
    CHECK_FALSE(taken.far_off);
    CHECK(taken.reason.id == "all_stays");
    const TreeAdvice whole = this_tree(farm.season, "b1", 96);
    CHECK(whole.action == TreeAction::walk_on);
    CHECK(whole.reason.id == "all_stays");
    CHECK(this_tree(farm.season, "b1", 45).far_off);
    CHECK(this_tree(farm.season, "b1", 230).action == TreeAction::take_more);
  }

  TEST_CASE("without a target nothing is advised") {
    SeasonBuilder farm;
    const TreeAdvice advice = this_tree(farm.season, "b9", 190);
    CHECK(advice.action == TreeAction::no_target);
    CHECK(advice.reason.id == "no_target");
    CHECK(advice.spurs == 0);
  }

  TEST_CASE("advice grows with the count and never takes more than there is") {
    SeasonBuilder farm;
    double last = -1e9;
    for (int spurs = 0; spurs <= 1000; spurs += 25) {
      const TreeAdvice advice = this_tree(farm.season, "b1", spurs);
      CHECK(advice.over > last);
      last = advice.over;
      CHECK(advice.spurs >= 0);
      if (advice.action == TreeAction::take_more) CHECK(advice.spurs < spurs);
    }
  }
}
