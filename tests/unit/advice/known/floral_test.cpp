// SPDX-License-Identifier: Apache-2.0
#include "advice/known/floral.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::ledger::BranchPosition;
using nthtree::test::SeasonBuilder;

namespace {

bool warns(const FloralFraction& floral, FloralWarning warning) {
  return std::count(floral.warnings.begin(), floral.warnings.end(), warning) > 0;
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("no bud, no fraction") {
    SeasonBuilder farm;
    const FloralFraction floral = floral_fraction(*farm.season.block("b1"));
    CHECK_FALSE(floral.known);
    CHECK(floral.buds == 0);
  }

  TEST_CASE("one tree gives a wide interval and says that it is one tree") {
    SeasonBuilder farm;
    farm.buds(1, 1, BranchPosition::upper, 15, 5, 7);
    const FloralFraction floral = floral_fraction(*farm.season.block("b1"));
    CHECK(floral.known);
    CHECK(floral.fraction.value == doctest::Approx(0.75));
    CHECK(floral.fraction.high - floral.fraction.low > 0.3);
    CHECK(warns(floral, FloralWarning::one_tree_only));
    CHECK(warns(floral, FloralWarning::one_position_only));
    CHECK(floral.lateral_left_out == 7);
    CHECK(floral.branches_more >= 2);
  }

  TEST_CASE("fewer than thirty buds are said to be few") {
    SeasonBuilder farm;
    farm.buds(1, 1, BranchPosition::upper, 8, 7).buds(9, 3, BranchPosition::lower, 8, 6);
    CHECK(warns(floral_fraction(*farm.season.block("b1")), FloralWarning::few_buds));
    farm.buds(20, 7, BranchPosition::lower, 1, 0);
    CHECK_FALSE(warns(floral_fraction(*farm.season.block("b1")), FloralWarning::few_buds));
  }

  TEST_CASE("the estimate is the ratio of sums, lateral buds left out") {
    SeasonBuilder farm;
    farm.buds(1, 1, BranchPosition::upper, 14, 6, 30).buds(1, 1, BranchPosition::lower, 12, 6);
    farm.buds(9, 3, BranchPosition::upper, 9, 12).buds(9, 3, BranchPosition::lower, 10, 10);
    farm.buds(20, 7, BranchPosition::upper, 16, 4).buds(20, 7, BranchPosition::lower, 13, 5);
    const FloralFraction floral = floral_fraction(*farm.season.block("b1"));
    CHECK(floral.fraction.value == doctest::Approx(74.0 / 117));
    CHECK(floral.fraction.low < floral.fraction.value);
    CHECK(floral.fraction.high > floral.fraction.value);
    CHECK(floral.trees == 3);
    CHECK(floral.branches == 6);
    CHECK(floral.design_effect > 1);
    CHECK(floral.upper.value == doctest::Approx(39.0 / 61));
    CHECK(floral.lower.value == doctest::Approx(35.0 / 56));
  }

  TEST_CASE("upper and lower branches that disagree on every tree are told") {
    SeasonBuilder farm;
    for (int tree : {1, 20, 40, 60, 80}) {
      farm.buds(1, tree, BranchPosition::upper, 18 + tree % 2, 2);
      farm.buds(1, tree, BranchPosition::lower, 9 - tree % 2, 11);
    }
    const FloralFraction floral = floral_fraction(*farm.season.block("b1"));
    CHECK(warns(floral, FloralWarning::upper_lower_apart));
    CHECK(floral.upper_lower_p < 0.01);
  }

  TEST_CASE("more trees alike narrow the interval and leave fewer branches to cut") {
    double width = 1;
    int more = 1000;
    for (int trees : {2, 4, 8, 16}) {
      SeasonBuilder farm;
      for (int i = 0; i < trees; ++i) {
        farm.buds(1 + i, 5, BranchPosition::upper, 14 + i % 3, 6);
        farm.buds(1 + i, 5, BranchPosition::lower, 13, 6 + i % 2);
      }
      const FloralFraction floral = floral_fraction(*farm.season.block("b1"));
      const double now = floral.fraction.high - floral.fraction.low;
      CHECK(now < width);
      CHECK(floral.branches_for_verdicts <= more);
      CHECK(floral.branches_more <= floral.branches_for_verdicts);
      width = now;
      more = floral.branches_for_verdicts;
    }
  }
}
