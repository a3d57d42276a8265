// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/acceptance.h"

#include <doctest/doctest.h>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

namespace {

// Checked counts, so that counting is known.
void add_checked(SeasonBuilder& farm, const std::vector<int>& spurs, int row = 1) {
  int tree = 4;
  for (int s : spurs) {
    farm.tag("p1", row, tree, s).check("lead", row, tree, s);
    tree += 6;
  }
}

void add_spell(SeasonBuilder& farm, int trees, int minutes) {
  farm.add(nthtree::ledger::WorkSpell{"b1", trees, minutes}, "p1");
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("a block near its target with enough counts is accepted, by two one-sided tests") {
    SeasonBuilder farm;
    add_checked(farm, {189, 180, 195, 186, 192, 200, 178, 190, 188, 185, 194, 183});
    const Acceptance done = accept_block(farm.season, "b1", farm.now_ms());
    CHECK(done.kind == AcceptanceKind::accepted);
    CHECK(done.tost_p <= 0.05);
    // Two one-sided tests at 5 % are the same as the 90 % interval inside the band.
    CHECK(done.mean.low >= done.band_low);
    CHECK(done.mean.high <= done.band_high);
    CHECK(done.share_out_of_band.low <= done.share_out_of_band.value);
    CHECK(done.reason.id == "accept_yes");
  }

  TEST_CASE("few counts are never accepted, however near they lie") {
    SeasonBuilder farm;
    add_checked(farm, {189, 189, 189, 189, 189});
    CHECK(accept_block(farm.season, "b1", farm.now_ms()).kind == AcceptanceKind::too_few_counts);
    CHECK(accept_block(farm.season, "b9", farm.now_ms()).kind == AcceptanceKind::no_target);
    CHECK(accept_block(SeasonBuilder().season, "b1", 0).kind == AcceptanceKind::too_few_counts);
  }

  TEST_CASE("a block far over, and one far under, are told so") {
    SeasonBuilder over, under;
    add_checked(over, {270, 290, 260, 280, 275, 265, 285, 278});
    add_checked(under, {110, 120, 105, 115, 118, 112, 108, 114});
    CHECK(accept_block(over.season, "b1", over.now_ms()).kind == AcceptanceKind::over);
    CHECK(accept_block(under.season, "b1", under.now_ms()).kind == AcceptanceKind::under);
  }

  TEST_CASE("a block whose mean lies at the edge of its band is not yet sure, and not called done") {
    SeasonBuilder farm;
    // Mean 213 of 189 with a tolerance of 15 %: 217 is the edge.
    add_checked(farm, {213, 250, 180, 226, 199, 240, 188, 215, 206});
    const Acceptance done = accept_block(farm.season, "b1", farm.now_ms());
    CHECK(done.kind == AcceptanceKind::not_yet_sure);
    CHECK(done.reason.id == "accept_unsure");
    CHECK(done.tost_p > 0.05);
    CHECK(done.mean.low < done.band_high);
    CHECK(done.mean.high > done.band_high);
  }

  TEST_CASE("what the rest must carry brings the whole block to its target") {
    SeasonBuilder farm;
    add_checked(farm, {210, 205, 215, 208, 212, 207, 211, 209});
    add_spell(farm, 1800, 480);
    const Acceptance done = accept_block(farm.season, "b1", farm.now_ms());
    CHECK(done.trees == 3600);
    CHECK(done.trees_done == 1800);
    CHECK(1800 * done.mean.value + 1800 * done.rest_per_tree.value ==
          doctest::Approx(3600 * 189.0));
    CHECK(done.rest_per_tree.low <= done.rest_per_tree.value);
    CHECK(done.rest_possible);
  }

  TEST_CASE("trees to go back to are over the band, the worst first, mended ones left out") {
    SeasonBuilder farm;
    add_checked(farm, {189, 320, 190, 400, 185, 192});
    nthtree::ledger::TagCount mended;
    mended.block = "b1";
    mended.tree = {9, 9};
    mended.spurs = 500;
    mended.spurs_after_mend = 185;
    farm.add(mended, "p1");
    const Acceptance done = accept_block(farm.season, "b1", farm.now_ms());
    REQUIRE(done.revisit.size() == 2);
    CHECK(done.revisit[0].over > done.revisit[1].over);
    CHECK(done.revisit[0].tree.tree == 22);
  }
}
