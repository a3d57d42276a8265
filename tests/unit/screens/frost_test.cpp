// SPDX-License-Identifier: Apache-2.0
#include <doctest/doctest.h>

#include "unit/screens/phone.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;
using stage::Phone;

ledger::Season after_frost(int alive, int killed) {
  ledger::Season season = stage::farm();
  for (int i = 0; i < 5; ++i) {
    stage::add(season, ledger::FrostSample{"b1", {2 + 3 * i, 9}, 57, alive, killed}, "l1",
               stage::thursday_ms() - 60000 * (10 - i));
  }
  return season;
}

Session frost_session() { return stage::at(ScreenId::frost, "l1", "b1"); }

}  // namespace

TEST_SUITE("screens: frost") {
  TEST_CASE("buds are tallied under the thumb, a slip is undone, and the tree is kept") {
    Phone phone(frost_session(), stage::farm());
    CHECK(phone.shows("No bud cut open after a frost yet"));
    REQUIRE(phone.tap("frost/stage/open"));
    REQUIRE(phone.tap("frost/stage/4"));
    for (int i = 0; i < 3; ++i) REQUIRE(phone.tap("alive"));
    for (int i = 0; i < 5; ++i) REQUIRE(phone.tap("killed"));
    REQUIRE(phone.tap("undo"));
    REQUIRE(phone.type("frost/row", "4"));
    REQUIRE(phone.type("frost/tree", "17"));
    REQUIRE(phone.tap("keep"));
    const auto* kept = std::get_if<ledger::FrostSample>(&phone.last<SaveRecords>()->bodies[0]);
    REQUIRE(kept);
    CHECK(kept->tree == orchard::TreeAddress{4, 17});
    CHECK(kept->alive == 3);
    CHECK(kept->killed == 4);
    CHECK(kept->bbch == 57);
    CHECK_FALSE(phone.tap("undo"));  // the next tree begins at nothing
  }

  TEST_CASE("a tree that the block has not is said, and nothing is kept") {
    Phone phone(frost_session(), stage::farm());
    REQUIRE(phone.tap("killed"));
    REQUIRE(phone.type("frost/row", "900"));
    CHECK(phone.shows("900"));
    REQUIRE(phone.tap("keep"));
    CHECK_FALSE(phone.last<SaveRecords>());
  }

  // 28 °F kills a tenth and 24 °F nine tenths at first pink (Washington State University's table,
  // as orchard/frost.h has it): 26 °F half.
  TEST_CASE("the table's share is told for the night that was typed, in the farm's own degrees") {
    Phone phone(frost_session(), stage::farm());
    REQUIRE(stage::farm().farm().us_units);
    REQUIRE(phone.tap("frost/stage/open"));
    REQUIRE(phone.tap("frost/stage/4"));
    REQUIRE(phone.type("frost/low", "26"));
    CHECK(phone.shows("kills about 50 of 100 buds"));
    REQUIRE(phone.type("frost/low", "-300"));
    CHECK_FALSE(phone.shows("of 100 buds at this stage"));
  }

  TEST_CASE("a hard frost says stop pruning, on its page and first in the day") {
    Phone phone(frost_session(), after_frost(3, 27));
    CHECK(phone.shows("10\u00a0%"));
    CHECK(phone.shows("Stop pruning: you are short already"));
    CHECK(Phone(stage::at(ScreenId::review, "m1", ""), after_frost(3, 27))
              .shows("Stop pruning: you are short already"));
    Phone mild(frost_session(), after_frost(29, 1));
    CHECK_FALSE(mild.shows("Stop pruning"));
    CHECK(mild.shows("prune on, but leave about"));
  }
}
