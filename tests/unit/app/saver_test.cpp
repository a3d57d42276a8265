// SPDX-License-Identifier: Apache-2.0
//
// What becomes of a count that the ledger will not take: it stays open where it was counted, says
// why, and holds up nothing.
#include "app/saver.h"

#include <doctest/doctest.h>

#include "unit/app/phone.h"

using namespace nthtree;
using namespace nthtree::app;
using screens::CountPurpose;
using screens::SaveRecords;
using screens::SaveState;

namespace {

// A phone without screens: a farm, somebody with a count of five open, and the saver.
struct Hand {
  PlatformNative platform;
  Context context{platform};
  Saver saver{context};

  Hand() {
    put_season(platform);
    for (const auto& [key, json] : platform.records) {
      if (auto record = context.client.load_record(json)) context.season.apply(*record);
    }
    context.loaded = true;
    context.client.start({7, 7}, context.moment());
    context.take(screens::ChoosePerson{"p1"});
    context.take(screens::ChooseBlock{"b1"});
    context.take(screens::OpenCount{CountPurpose::tag, "b1", {1, 2}});
    context.take(screens::Taps{1, 5});
  }
  SaveRecords count_of(int spurs) {
    SaveRecords wish;
    wish.bodies = {ledger::TagCount{"b1", {1, 2}, spurs, {}, {}, 0}};
    wish.from = SaveRecords::From::count;
    return wish;
  }
  const screens::Session& session() const { return context.session(); }
};

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("a count that the ledger refused had closed its draft, and trying again spun for ever") {
    Hand hand;
    hand.saver.save(hand.count_of(6000));  // 5,000 is the most
    REQUIRE(hand.session().drafts.count.has_value());
    CHECK(hand.session().drafts.count->spurs() == 5);
    CHECK(hand.session().here().screen == screens::ScreenId::count);
    CHECK(hand.session().last_save.state == SaveState::refused);
    CHECK(hand.session().last_save.trouble ==
          "spurs: 6000 is out of range: 0 to 5000 is allowed (out_of_range)");
    CHECK_FALSE(hand.saver.waits());
    hand.saver.try_again();
    CHECK(hand.session().last_save.state == SaveState::refused);

    SUBCASE("and the next one is taken under the same number, and closes it") {
      hand.saver.save(hand.count_of(5));
      CHECK(hand.saver.waits());
      CHECK_FALSE(hand.session().drafts.count.has_value());
      CHECK(hand.session().here().screen == screens::ScreenId::verdict);
      REQUIRE(hand.session().last_save.record.has_value());
      CHECK(hand.session().last_save.record->sequence == 1);
      CHECK(hand.session().last_save.state == SaveState::writing);
    }
    SUBCASE("and what it says goes with the screen") {
      hand.context.take(screens::Back{});
      CHECK(hand.session().last_save.state == SaveState::none);
      CHECK(hand.session().drafts.count->spurs() == 5);
    }
  }

  TEST_CASE("of two records that belong together none is kept where the second is refused") {
    Hand hand;
    SaveRecords wish = hand.count_of(5);
    wish.bodies.push_back(ledger::WorkSpell{"b1", -1, 10});
    hand.saver.save(wish);
    CHECK(hand.session().last_save.state == SaveState::refused);
    CHECK_FALSE(hand.saver.waits());
    hand.saver.save(hand.count_of(5));
    CHECK(hand.session().last_save.record->sequence == 1);
  }
}
