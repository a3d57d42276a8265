// SPDX-License-Identifier: Apache-2.0
#include "advice/known/winter_judged.h"

#include <doctest/doctest.h>

#include "unit/advice/season_builder.h"

using namespace nthtree;
using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

namespace {

void buds(SeasonBuilder& farm, int floral, int vegetative) {
  for (int i = 0; i < 8; ++i) {
    farm.buds(2 + i, 7, ledger::BranchPosition::upper, floral + i % 3 - 1, vegetative);
  }
}

void clusters(SeasonBuilder& farm, int floral, int vegetative) {
  for (int i = 0; i < 8; ++i) {
    farm.add(ledger::ClusterCount{"b1", {2 + i, 9}, floral + 3 * (i % 3 - 1), vegetative}, "lead");
  }
}

WinterJudged judged(const SeasonBuilder& farm) { return winter_judged(*farm.season.block("b1")); }

}  // namespace

TEST_SUITE("advice: the winter judged") {
  TEST_CASE("nothing is judged before both buds and clusters were counted") {
    SeasonBuilder farm;
    CHECK(judged(farm).what == WinterWas::not_known);
    buds(farm, 9, 3);
    CHECK(judged(farm).what == WinterWas::not_known);
    SeasonBuilder seen;
    clusters(seen, 90, 90);
    CHECK(judged(seen).what == WinterWas::not_known);
  }

  TEST_CASE("clusters at half of the spurs say that three buds in four were promised too many") {
    SeasonBuilder farm;
    buds(farm, 9, 3);
    clusters(farm, 90, 90);
    const WinterJudged found = judged(farm);
    CHECK(found.what == WinterWas::too_high);
    CHECK(found.promised.value == doctest::Approx(0.75).epsilon(0.02));
    CHECK(found.seen.value == doctest::Approx(0.5).epsilon(0.02));
    CHECK(found.z > 1.96);
  }

  TEST_CASE("what came out as promised is said to be right, and more than promised too low") {
    SeasonBuilder as_promised, more;
    buds(as_promised, 9, 3);
    clusters(as_promised, 135, 45);
    CHECK(judged(as_promised).what == WinterWas::right);
    buds(more, 4, 8);
    clusters(more, 135, 45);
    CHECK(judged(more).what == WinterWas::too_low);
  }

  TEST_CASE("a season that was closed judges no other winter") {
    SeasonBuilder farm;
    buds(farm, 9, 3);
    farm.add(ledger::SeasonClosed{2026}, "boss");
    clusters(farm, 90, 90);
    CHECK(judged(farm).what == WinterWas::not_known);
  }
}
