// SPDX-License-Identifier: Apache-2.0
#include "advice/known/planting.h"

#include <doctest/doctest.h>

#include "advice/review/pace.h"
#include "unit/advice/season_builder.h"

using namespace nthtree;
using namespace nthtree::advice;
using ledger::TreeKind;

namespace {

ledger::TreeState state(int row, int tree, TreeKind is) { return {"b1", {row, tree}, is}; }

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("a block is full of bearing trees until somebody says otherwise") {
    test::SeasonBuilder farm;
    const Planting planting = planting_of(*farm.season.block("b1"), farm.now_ms());
    CHECK(planting.bearing() == 40 * 90);
    CHECK(planting.count_instead({4, 17}) == orchard::TreeAddress{4, 17});
    CHECK_FALSE(planting.is_bearing({41, 1}));
  }

  TEST_CASE("gaps, replants and pollinizers are not trees to prune; the last word holds") {
    test::SeasonBuilder farm;
    farm.add(state(4, 17, TreeKind::missing), "p1").add(state(4, 18, TreeKind::replant), "p1");
    farm.add(state(4, 90, TreeKind::pollinizer), "p1").add(state(5, 1, TreeKind::missing), "p1");
    farm.add(state(5, 1, TreeKind::bearing), "lead");
    farm.add(state(99, 1, TreeKind::missing), "p1");  // an address the block has not
    const Planting planting = planting_of(*farm.season.block("b1"), farm.now_ms());
    CHECK(planting.bearing() == 40 * 90 - 3);
    CHECK(planting.bearing_in_row(4) == 87);
    CHECK(planting.bearing_between(4, 17, 18) == 0);
    CHECK(planting.bearing_in_row(5) == 90);
    CHECK(planting.others()[static_cast<std::size_t>(TreeKind::replant)] == 1);
    CHECK(pace_of(farm.season, "b1", farm.now_ms()).trees == 40 * 90 - 3);
  }

  TEST_CASE("where no bearing tree is due, the next one along is counted, over the row's end") {
    test::SeasonBuilder farm;
    farm.add(state(4, 89, TreeKind::missing), "p1").add(state(4, 90, TreeKind::replant), "p1");
    farm.add(state(40, 90, TreeKind::missing), "p1");
    const Planting planting = planting_of(*farm.season.block("b1"), farm.now_ms());
    CHECK(planting.count_instead({4, 89}) == orchard::TreeAddress{5, 1});
    CHECK(planting.count_instead({40, 90}) == orchard::TreeAddress{});
    CHECK(planting.count_instead({41, 1}) == orchard::TreeAddress{});
  }

  TEST_CASE("who works a row from its end is sent on that way, and over the end into the next row") {
    test::SeasonBuilder farm;
    farm.add(state(4, 1, TreeKind::missing), "p1").add(state(4, 17, TreeKind::missing), "p1");
    const Planting planting = planting_of(*farm.season.block("b1"), farm.now_ms());
    CHECK(planting.count_instead({4, 17}, true) == orchard::TreeAddress{4, 16});
    CHECK(planting.count_instead({4, 1}, true) == orchard::TreeAddress{5, 1});
  }

  TEST_CASE("a withdrawn state never was") {
    test::SeasonBuilder farm;
    farm.add(state(1, 1, TreeKind::missing), "p1");
    auto record = test::record_of(test::phone_b, 1, 2000, ledger::Withdrawal{"slip"}, "p1");
    record.replaces = farm.season.block("b1")->tree_states.front().position.id;
    farm.season.apply(record);
    CHECK(planting_of(*farm.season.block("b1"), farm.now_ms()).bearing() == 3600);
  }
}
