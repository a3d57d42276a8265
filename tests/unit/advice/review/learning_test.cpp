// SPDX-License-Identifier: Apache-2.0
#include "advice/review/learning.h"

#include <doctest/doctest.h>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

namespace {

// Trees of 200 spurs (180 flowering) that carried `fruits` fruits each.
void harvest(SeasonBuilder& farm, int trees, int fruits) {
  for (int i = 0; i < trees; ++i) {
    farm.tag("lead", 1 + i, 7, 200);
    farm.add(nthtree::ledger::HarvestCount{"b1", {1 + i, 7}, fruits + i % 3 - 1}, "boss");
  }
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("without a harvest the variety's own factor stands, as wide as it is known") {
    SeasonBuilder farm;
    const Learning learnt = learn(farm.season, "b1");
    CHECK(learnt.reason.id == "learn_none");
    CHECK(learnt.insurance.value == 1.5);
    CHECK(learnt.insurance.low < 1.2);
    CHECK(learn(farm.season, "b9").harvest_trees == 0);
  }

  TEST_CASE("the factor learnt moves from the variety's to the block's own as trees come in") {
    double last = 1.5;
    for (int trees : {1, 3, 10, 30}) {
      SeasonBuilder farm;
      harvest(farm, trees, 90);  // 180 ÷ 90 = 2 flowering spurs a fruit
      const Learning learnt = learn(farm.season, "b1");
      CHECK(learnt.harvest_trees == trees);
      CHECK(learnt.own_insurance.value == doctest::Approx(2.0).epsilon(0.02));
      CHECK(learnt.insurance.value > last);
      CHECK(learnt.insurance.value < 2.02);
      CHECK(learnt.insurance.low < learnt.insurance.value);
      last = learnt.insurance.value;
    }
    CHECK(last == doctest::Approx(2.0).epsilon(0.03));
  }

  TEST_CASE("a harvest of trees that were counted by some limbs teaches too") {
    SeasonBuilder farm;
    for (int i = 0; i < 8; ++i) {  // five limbs of 20, 10 spurs each: 200 spurs, 180 flowering
      farm.add(nthtree::ledger::PartCount{
                   "b1", {1 + i, 7}, {{20, 2, 4}, {10, 10, 10, 10, 10}, 60}}, "lead");
      farm.add(nthtree::ledger::HarvestCount{"b1", {1 + i, 7}, 90 + i % 3 - 1}, "boss");
    }
    const Learning learnt = learn(farm.season, "b1");
    CHECK(learnt.never_counted.empty());
    CHECK(learnt.harvest_trees == 8);
    CHECK(learnt.own_insurance.value == doctest::Approx(2.0).epsilon(0.02));
  }

  TEST_CASE("the target of METHODS by hand: ten trees of 180 flowering spurs and 60 fruits") {
    SeasonBuilder farm;
    for (int i = 0; i < 10; ++i) {
      farm.tag("lead", 1 + i, 7, 200);
      farm.add(nthtree::ledger::ClusterCount{"b1", {1 + i, 7}, 180, 20}, "lead");
      farm.add(nthtree::ledger::HarvestCount{"b1", {1 + i, 7}, 60}, "boss");
    }
    const Learning learnt = learn(farm.season, "b1");
    CHECK(learnt.own_variance == doctest::Approx(4 * 0.35 * 0.35 / 13 / 10));
    CHECK(learnt.insurance.value == doctest::Approx(2.884).epsilon(0.001));
    CHECK(learnt.spurs_to_leave_in_hindsight == 362);
  }

  TEST_CASE("clusters on some limbs teach the tree that they make") {
    SeasonBuilder farm;
    for (int i = 0; i < 6; ++i) {
      farm.add(nthtree::ledger::PartClusters{"b1", {1 + i, 7}, {{20, 2, 4}, {9, 9, 9, 9, 9}, 0}, 5},
               "lead");
      farm.add(nthtree::ledger::HarvestCount{"b1", {1 + i, 7}, 60}, "boss");
    }
    const Learning learnt = learn(farm.season, "b1");
    CHECK(learnt.harvest_trees == 6);
    CHECK(learnt.own_insurance.value == doctest::Approx(180.0 / 60));
  }

  TEST_CASE("return bloom is a share with its interval") {
    SeasonBuilder farm;
    for (int i = 0; i < 6; ++i) {
      farm.add(nthtree::ledger::ReturnBloom{"b1", {1 + i, 7}, 90 + 3 * i, 180}, "boss");
    }
    const Learning learnt = learn(farm.season, "b1");
    CHECK(learnt.return_trees == 6);
    CHECK(learnt.return_bloom.value == doctest::Approx(585.0 / 1080));
    CHECK(learnt.return_bloom.low < learnt.return_bloom.value);
  }
}
