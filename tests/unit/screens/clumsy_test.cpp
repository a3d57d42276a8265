// SPDX-License-Identifier: Apache-2.0
//
// What went wrong when people were clumsy, and what two cards on one screen said against each other.
#include <doctest/doctest.h>

#include "unit/screens/phone.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;
using stage::Phone;

// The demo farm with these counts of p3 on top, the last of them just saved.
ledger::Season farm_with(const std::vector<int>& spurs) {
  ledger::Season season = stage::farm();
  std::int64_t at_ms = stage::thursday_ms() - static_cast<std::int64_t>(spurs.size()) * 60000;
  int tree = 3;
  for (const int count : spurs) {
    ledger::TagCount tag;
    tag.block = "b1";
    tag.tree = {20, tree += 2};
    tag.spurs = count;
    stage::add(season, tag, "p3", at_ms += 60000);
  }
  return season;
}

Session verdict_of_last(const ledger::Season& season) {
  Session session = stage::at(ScreenId::verdict, "p3", "b1");
  const auto& entry = season.block("b1")->tag_counts.back();
  session.stack.back().tree = entry.body.tree;
  session.last_save = {SaveState::on_phone, entry.position.id, "", entry.body};
  return session;
}

std::string words_of(Phone& phone, const char* id) {
  const widgets::Control* control = phone.frame().find(id);
  return control ? control->label : "";
}

}  // namespace

TEST_SUITE("screens: clumsy") {
  TEST_CASE("a double tap on the first screen saved a zero") {
    for (const std::int64_t after : {60, 150, 250}) {
      Phone phone(stage::at(ScreenId::home, "p3", "b1"), stage::farm());
      const widgets::Rect box = phone.frame().find("count")->rect;
      const float x = box.x + box.w / 2, y = box.y + box.h / 2;
      CHECK(phone.frame().tap_at(x, y, widgets::new_screen_ms));
      phone.look();
      REQUIRE(phone.session.here().screen == ScreenId::count);
      CHECK_FALSE(phone.frame().tap_at(x, y, after - 50));
      phone.look();
      CHECK_FALSE(phone.last<SaveRecords>());
      CHECK(phone.session.asking.empty());
    }
  }

  TEST_CASE("an odd number is asked about once, with both numbers, and a no changes nothing") {
    Phone phone(stage::at(ScreenId::home, "p3", "b1"), stage::farm());
    phone.tap("count");
    phone.tap("way_type");
    for (char digit : std::string("1400")) phone.tap(std::string("keypad/") + digit);
    phone.tap("save");
    CHECK(phone.shows("Is 1400 right?"));
    CHECK(phone.shows("You have 1400 here"));
    CHECK_FALSE(phone.last<SaveRecords>());
    phone.tap("odd/no");
    CHECK(phone.session.drafts.count->spurs() == 1400);
    phone.tap("save");
    phone.tap("odd/yes");
    REQUIRE(phone.last<SaveRecords>());
    CHECK(phone.session.here().screen == ScreenId::verdict);
  }

  TEST_CASE("a usual number is saved without a question") {
    Phone phone(stage::at(ScreenId::home, "p3", "b1"), stage::farm());
    phone.tap("count");
    phone.tap("way_type");
    for (char digit : std::string("231")) phone.tap(std::string("keypad/") + digit);
    phone.tap("save");
    CHECK(phone.session.asking.empty());
    CHECK(phone.last<SaveRecords>());
  }

  TEST_CASE("the wrong tree of a saved count could not be mended") {
    const ledger::Season season = farm_with({231});
    Phone phone(verdict_of_last(season), season);
    CHECK(phone.tap("wrong_number"));
    phone.session.stack.pop_back();
    phone.look();
    REQUIRE(phone.tap("wrong_tree"));
    REQUIRE(phone.session.here().screen == ScreenId::entry);
    const std::string id = "entry/" + phone.session.here().record;
    phone.type(id + "/row", "9");
    phone.type(id + "/tree", "33");
    REQUIRE(phone.tap("keep"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    const auto* tag = std::get_if<ledger::TagCount>(&save->bodies.front());
    REQUIRE(tag);
    CHECK(tag->tree == orchard::TreeAddress{9, 33});
    CHECK(tag->spurs == 231);
    CHECK(save->replaces.has_value());
    CHECK(phone.session.here().screen == ScreenId::verdict);
    CHECK(phone.session.here().tree == orchard::TreeAddress{9, 33});
    CHECK(phone.shows("231"));
  }

  TEST_CASE("254 of 254 was told to take more: the tree is judged by the number on the tag") {
    for (const auto& expected : {std::pair{255, "GOOD"}, std::pair{217, "GOOD"},
                                 std::pair{216, "TOO FEW"}, std::pair{294, "TAKE MORE"}}) {
      const int spurs = expected.first;
      const ledger::Season season = farm_with({spurs});
      Phone home(stage::at(ScreenId::home, "p3", "b1"), season);
      CHECK(home.shows("217 to 293 is fine"));
      Phone phone(verdict_of_last(season), season);
      CHECK_MESSAGE(words_of(phone, "tree_now").find(expected.second) == 0, spurs);
      CHECK(phone.shows(std::to_string(spurs)));
    }
  }

  TEST_CASE("what a counter misses was taken off in silence: it is said where it acts") {
    ledger::Season season = farm_with({254, 254, 254, 254, 254, 254});
    for (int tree = 5; tree <= 15; tree += 2) {
      stage::add(season, ledger::CheckCount{"b1", {20, tree}, 302, 0}, "l1",
                 stage::thursday_ms() - 1000);
    }
    Phone phone(verdict_of_last(season), season);
    CHECK(words_of(phone, "tree_now").find("GOOD") == 0);
    CHECK(phone.shows("You miss about"));
    CHECK(phone.shows("254 counted is about"));
  }

  TEST_CASE("two stripped trees stood above \"just right, go on like this\"") {
    const ledger::Season one = farm_with({250, 258, 249, 14});
    Phone first(verdict_of_last(one), one);
    CHECK(words_of(first, "tree_now").find("TOO FEW") == 0);
    CHECK(words_of(first, "you").find("The last tree is far off") != std::string::npos);
    CHECK_FALSE(first.shows("go on like this"));
    const ledger::Season two = farm_with({250, 258, 249, 14, 18});
    Phone second(verdict_of_last(two), two);
    CHECK(second.shows("call the lead before the next tree"));
    CHECK(words_of(second, "you").find("CALL THE LEAD") == 0);
    Phone lead(stage::at(ScreenId::home, "l1", "b1"), two);
    std::string top;
    for (const widgets::Control& control : lead.frame().controls()) {
      if (top.empty() && control.id.rfind("person/", 0) == 0) top = control.id;
    }
    CHECK(top == "person/p3");
    CHECK(lead.shows("See now: 2 of the last trees are far off."));
  }

  TEST_CASE("a typed number destroyed what was tapped: one undo covers every way of counting") {
    Phone phone(stage::at(ScreenId::home, "p3", "b1"), stage::farm());
    const auto spurs = [&] { return phone.session.drafts.count->spurs(); };
    phone.tap("count");
    phone.tap("way_limbs");
    for (int i = 0; i < 4; ++i) phone.tap("pad");
    phone.tap("next_limb");
    for (int i = 0; i < 3; ++i) phone.tap("pad");
    phone.tap("way_type");
    phone.tap("keypad/9");
    CHECK(phone.shows("7 counted before stand by"));
    phone.tap("way_tap");
    CHECK(spurs() == 9);
    phone.tap("five");
    phone.tap("way_type");
    phone.tap("keypad/2");
    phone.tap("way_limbs");
    CHECK(spurs() == 2);
    phone.tap("undo");  // the second typed number
    CHECK(spurs() == 14);
    phone.tap("undo");  // +5
    CHECK(spurs() == 9);
    const auto kept = read_drafts(write_drafts(phone.session.drafts));
    REQUIRE((kept && kept->count));
    phone.session.drafts = *kept;  // the tab died, and the count goes on
    phone.look();
    phone.tap("undo");  // the first one: both limbs are back
    CHECK(phone.session.drafts.count->limbs == std::vector<int>{4, 3});
    phone.tap("undo");
    CHECK(phone.session.drafts.count->limbs == std::vector<int>{4, 2});
  }

  TEST_CASE("a draft whose undo does not fit together makes nothing up") {
    Session session = stage::at(ScreenId::count, "p3", "b1");
    for (const std::vector<int>& replaced : {std::vector<int>{}, {5}, {0}, {3, 4, 7}}) {
      CountDraft draft;
      draft.block = "b1";
      draft.tree = {1, 1};
      draft.limbs = {7};
      draft.steps = {step_typed};
      draft.replaced = replaced;
      session.drafts.count = draft;
      apply(session, stage::farm(), UndoTap{});
      CHECK(session.drafts.count->limbs == std::vector<int>{7});
    }
  }

  TEST_CASE("a tab that only looks says so on the count as well") {
    Session session = stage::at(ScreenId::count, "p3", "b1");
    session.storage.writer = false;
    apply(session, stage::farm(), OpenCount{CountPurpose::tag, "b1", {12, 48}, {}, 0});
    CHECK(Phone(session, stage::farm()).shows("this one only looks"));
  }
}
