// SPDX-License-Identifier: Apache-2.0
#include "advice/worksheet/floral_sheet.h"

#include <doctest/doctest.h>

#include <cmath>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::ledger::BranchPosition;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice: worksheet") {
  TEST_CASE("without buds the floral sheet is empty") {
    SeasonBuilder farm;
    const FloralSheet sheet = floral_sheet(*farm.season.block("b1"));
    CHECK_FALSE(sheet.found.known);
    CHECK(sheet.trees.empty());
  }

  TEST_CASE("the floral interval comes out of the sheet's own steps") {
    SeasonBuilder farm;
    const int floral[] = {18, 15, 12, 17, 14, 9};
    for (int i = 0; i < 6; ++i) {
      farm.buds(1 + i, 7, BranchPosition::upper, floral[i], 20 - floral[i]);
      farm.buds(1 + i, 7, BranchPosition::lower, floral[i] - 3, 23 - floral[i]);
    }
    const FloralSheet sheet = floral_sheet(*farm.season.block("b1"));
    const FloralRatio& ratio = sheet.ratio;
    REQUIRE(ratio.shows_spread);
    CHECK(sheet.trees.size() == 6);
    const double p = ratio.floral / ratio.buds;
    CHECK(p == doctest::Approx(ratio.fraction.value));
    // Cochran 1977, 3.12, worked out again.
    double squares = 0;
    for (int f : floral) squares += std::pow(2 * f - 3 - p * 40, 2);
    CHECK(ratio.variance == doctest::Approx(6.0 / 5 * squares / (240.0 * 240)));
    CHECK(std::sqrt(ratio.variance) == doctest::Approx(sheet.found.standard_error));
    const auto back = [&](double half) { return 1 / (1 + std::exp(-(ratio.logit + half))); };
    CHECK(back(-ratio.drawn_in) == doctest::Approx(ratio.fraction.low));
    CHECK(back(ratio.drawn_in) == doctest::Approx(ratio.fraction.high));
    CHECK(ratio.drawn_in == doctest::Approx(ratio.drawn_in_at *
                                            std::asinh(ratio.half_width / ratio.drawn_in_at)));
    REQUIRE(sheet.positions.known);
    CHECK(sheet.positions.upper - sheet.positions.lower == doctest::Approx(3.0 / 20));
    // Nobody cuts fewer branches for a verdict than to begin with.
    CHECK(sheet.for_verdicts.trees >= sheet.to_begin.trees);
    CHECK(sheet.for_verdicts.half_width <= sheet.for_verdicts.wanted * (1 + 1e-9));
  }

  TEST_CASE("clusters that were seen take the buds' place on the sheet") {
    SeasonBuilder farm;
    farm.buds(1, 7, BranchPosition::upper, 10, 10).buds(2, 7, BranchPosition::lower, 12, 8);
    for (int tree : {5, 15, 25}) {
      nthtree::ledger::ClusterCount count;
      count.block = "b1";
      count.tree = {3, tree};
      count.floral_clusters = 150 + tree;
      count.vegetative_spurs = 40;
      farm.add(count, "lead");
    }
    const FloralSheet sheet = floral_sheet(*farm.season.block("b1"));
    CHECK(sheet.clusters_seen);
    CHECK(sheet.cluster_trees == 3);
    CHECK(sheet.ratio.floral == 495);
    CHECK(sheet.ratio.buds == 615);
    // Of some limbs what was counted, as of a branch.
    farm.add(nthtree::ledger::PartClusters{"b1", {4, 5}, {{20, 2, 4}, {6, 9, 7, 10, 8}, 0}, 10},
             "lead");
    const FloralSheet more = floral_sheet(*farm.season.block("b1"));
    CHECK(more.ratio.floral == 535);
    CHECK(more.ratio.buds == 665);
  }
}
