// SPDX-License-Identifier: Apache-2.0
//
// What pruner and lead missed in a day with the app, and have now.
#include <doctest/doctest.h>

#include "unit/screens/phone.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;
using stage::Phone;

ledger::Season farm_where(const ledger::Body& body, const std::string& author) {
  ledger::Season season = stage::farm();
  stage::add(season, body, author, stage::thursday_ms() - 60000);
  return season;
}

std::vector<std::string> trees_listed(Phone& phone) {
  std::vector<std::string> ids;
  for (const widgets::Control& control : phone.frame().controls()) {
    if (control.id.rfind("tree/", 0) == 0) ids.push_back(control.id);
  }
  return ids;
}

std::pair<int, int> place_of(const std::string& id) {
  const std::size_t dash = id.find('-');
  return {std::atoi(id.substr(5, dash - 5).c_str()), std::atoi(id.substr(dash + 1).c_str())};
}

// Takes back what was added last.
void take_back(ledger::Season& season, ledger::RecordId id) {
  ledger::Record record;
  record.id = {{1, 3}, id.sequence};
  record.stamp = {stage::thursday_ms() - 1000, 0};
  record.clock_ms = record.stamp.at_ms;
  record.author = "l1";
  record.replaces = id;
  record.body = ledger::Withdrawal{"another tree"};
  const auto written = ledger::write_record(record);
  REQUIRE(written);
  season.apply(*written);
}

}  // namespace

TEST_SUITE("screens: missed") {
  TEST_CASE("what the lead said stands on the pruner's own phone, with its note") {
    ledger::Advice told{"b1", "p3", ledger::Direction::harder, 20, "Hanging wood first."};
    const ledger::Season season = farm_where(told, "l1");
    Phone phone(stage::at(ScreenId::home, "p3", "b1"), season);
    CHECK(phone.shows("leave about 20 fewer on each tree. Hanging wood first."));
    Phone other(stage::at(ScreenId::home, "p4", "b1"), season);
    CHECK_FALSE(other.shows("leave about 20 fewer"));
    Session later = stage::at(ScreenId::home, "p3", "b1");
    later.now_ms += 48LL * 3600 * 1000;
    CHECK_FALSE(Phone(later, season).shows("leave about 20 fewer"));
  }

  TEST_CASE("a lead notes what else was said, in any script, and reads it again") {
    const std::string longest = [] {
      std::string text;
      for (int i = 0; i < 120; ++i) text += "枝";  // three bytes each: 360 of the 256 a record takes
      return text;
    }();
    Session session = stage::at(ScreenId::give_advice, "l1", "b1");
    session.stack.back().person = "p4";
    Phone phone(session, stage::farm());
    REQUIRE(phone.type("advice/p4/note", longest));
    phone.tap("told");
    CHECK(phone.last<SaveRecords>() == nullptr);
    REQUIRE(phone.type("advice/p4/note", " 先剪下垂枝 "));
    REQUIRE(phone.tap("told"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    const auto& told = std::get<ledger::Advice>(save->bodies.front());
    CHECK(told.note == "先剪下垂枝");

    const ledger::Season season = farm_where(told, "l1");
    Session later = stage::at(ScreenId::standing, "l1", "b1");
    later.stack.back().person = "p4";
    CHECK(Phone(later, season).shows("先剪下垂枝"));
    CHECK(Phone(stage::at(ScreenId::my_day, "l1", "b1"), season).shows("先剪下垂枝"));
  }

  TEST_CASE("I am in row …: row and tree are typed as well as stepped") {
    Phone phone(stage::at(ScreenId::home, "p3", "b1"), stage::farm());
    REQUIRE(phone.tap("elsewhere"));
    CHECK(phone.session.here().screen == ScreenId::count);
    const std::string at = std::to_string(phone.session.drafts.count->started_ms);
    REQUIRE(phone.type("at/row/" + at, "9"));
    REQUIRE(phone.type("at/place/" + at, "33"));
    CHECK(phone.session.drafts.count->tree == orchard::TreeAddress{9, 33});
    phone.tap("row/more");
    phone.tap("place/less");
    CHECK(phone.session.drafts.count->tree == orchard::TreeAddress{10, 32});
    phone.type("at/row/" + at, "900");
    CHECK(phone.shows("900 is not allowed"));
    CHECK(phone.session.drafts.count->tree == orchard::TreeAddress{10, 32});
    // Somebody who types 900 and goes on would count a tree of row 9 or 10.
    CHECK_FALSE(phone.tap("tree_done"));
    phone.tap("pad");
    CHECK_FALSE(phone.tap("save"));
    CHECK(phone.last<SaveRecords>() == nullptr);
    phone.type("at/row/" + at, "11");
    REQUIRE(phone.tap("tree_done"));
    CHECK(phone.session.drafts.count->tree == orchard::TreeAddress{11, 32});
    CHECK(phone.tap("pad"));
  }

  TEST_CASE("what counts as a spur is one tap from the pad, and the count goes on") {
    Phone phone(stage::at(ScreenId::home, "p3", "b1"), stage::farm());
    phone.tap("count");
    phone.tap("pad");
    REQUIRE(phone.tap("what"));
    CHECK(phone.session.here().screen == ScreenId::what_counts);
    for (const char* id : {"spur", "end", "side"}) {
      const widgets::Control* picture = phone.frame().find(id);
      REQUIRE(picture);
      CHECK(picture->role == widgets::Role::image);
    }
    REQUIRE(phone.tap("back"));
    CHECK(phone.session.drafts.count->spurs() == 1);
    CHECK(phone.session.here().screen == ScreenId::count);
  }

  TEST_CASE("each person of a shared phone has a language, also after a restart") {
    Session session = stage::at(ScreenId::home, "p3", "b1");
    Preferences spanish = session.preferences;
    spanish.language = "es";
    apply(session, stage::farm(), SetPreferences{spanish});
    apply(session, stage::farm(), ChoosePerson{"p4"});
    Preferences french = session.preferences;
    french.language = "fr";
    apply(session, stage::farm(), SetPreferences{french});
    apply(session, stage::farm(), ChoosePerson{"p3"});
    CHECK(session.preferences.language == "es");
    Session again;
    REQUIRE(read_memory(again, write_memory(session)));
    CHECK(again.preferences.language == "es");
    apply(again, stage::farm(), ChoosePerson{"p4"});
    CHECK(again.preferences.language == "fr");
    apply(again, stage::farm(), ChoosePerson{"p7"});
    CHECK(again.preferences.language == "fr");  // who chose none keeps what stands
  }

  TEST_CASE("this tree is large, and how the pruner stands is a line beneath") {
    Session session = stage::at(ScreenId::verdict, "p3", "b1");
    const auto& entry = stage::farm().block("b1")->tag_counts.back();
    session.person = entry.author;
    session.stack.back().tree = entry.body.tree;
    session.last_save = {SaveState::on_phone, entry.position.id, "", entry.body};
    Phone phone(session, stage::farm());
    const widgets::Control* tree = phone.frame().find("tree_now");
    const widgets::Control* you = phone.frame().find("you");
    REQUIRE((tree && you));
    CHECK(you->rect.y > tree->rect.y);
    CHECK(you->role == widgets::Role::status);
  }

  TEST_CASE("the word stands above the number: leave on each tree") {
    Phone phone(stage::at(ScreenId::home, "p3", "b1"), stage::farm());
    float word = -1, number = -1;
    for (const widgets::Control& control : phone.frame().controls()) {
      if (control.label == "Leave on each tree") word = control.rect.y;
      if (control.label.find("255") == 0 || control.value == "255") number = control.rect.y;
    }
    CHECK(word >= 0);
    CHECK(number > word);
  }

  TEST_CASE("re-counts stand by worth or in walking order") {
    Phone phone(stage::at(ScreenId::worklist, "l1", "b1"), stage::farm());
    const std::vector<std::string> by_worth = trees_listed(phone);
    REQUIRE(by_worth.size() > 3);
    REQUIRE(phone.tap("worklist/order/1"));
    const std::vector<std::string> by_row = trees_listed(phone);
    CHECK(by_row.size() == by_worth.size());
    for (std::size_t i = 1; i < by_row.size(); ++i) {
      CHECK(place_of(by_row[i - 1]) < place_of(by_row[i]));
    }
    REQUIRE(phone.tap("worklist/order/0"));
    CHECK(trees_listed(phone) == by_worth);
  }

  TEST_CASE("what was noted with one tap is taken back in My day") {
    const ledger::Body acts[] = {
        ledger::Advice{"b1", "p3", ledger::Direction::harder, 20},
        ledger::BlockProgress{"b1", ledger::BlockStep::accepted},
        ledger::GrowthStage{"b1", 57},
        ledger::BudSample{"b1", {7, 20}, ledger::BranchPosition::upper, 8, 3, 0, 0, 1}};
    for (const ledger::Body& act : acts) {
      const ledger::Season season = farm_where(act, "m1");
      Phone phone(stage::at(ScreenId::my_day, "m1", "b1"), season);
      std::string id;
      for (const widgets::Control& control : phone.frame().controls()) {
        if (control.id.rfind("act/", 0) == 0) id = control.id;
      }
      REQUIRE_FALSE(id.empty());
      phone.tap(id);
      REQUIRE(phone.tap(id + "/yes"));
      const SaveRecords* save = phone.last<SaveRecords>();
      REQUIRE(save);
      CHECK(std::holds_alternative<ledger::Withdrawal>(save->bodies.front()));
      REQUIRE(save->replaces);
      CHECK("act/" + save->replaces->text() == id);
    }
  }

  TEST_CASE("tag and re-count that differ widely get a word") {
    for (const auto& [check, told] : {std::pair{300, true}, std::pair{215, false}}) {
      ledger::TagCount tag;
      tag.block = "b1";
      tag.tree = {2, 3};
      tag.spurs = 200;
      const ledger::Season season = farm_where(tag, "p3");
      Session session = stage::at(ScreenId::verdict, "l1", "b1");
      session.stack.back().tree = {2, 3};
      session.last_save.body = ledger::CheckCount{"b1", {2, 3}, check, 0};
      CHECK(Phone(session, season).shows("Is it the same tree?") == told);
    }
  }

  TEST_CASE("the tree to go on from was one whose entry had been taken back") {
    ledger::Season season = stage::farm();
    const std::int64_t at_ms = stage::thursday_ms() - 60000;
    const auto add_both = [&](auto stays, auto goes) {
      stage::add(season, stays, "l1", at_ms);
      stage::add(season, goes, "l1", at_ms + 1000);
    };
    add_both(ledger::BeforeCount{"b1", {2, 11}, 400}, ledger::BeforeCount{"b1", {3, 30}, 410});
    take_back(season, season.block("b1")->before_counts.back().position.id);
    Phone before(stage::at(ScreenId::before_counts, "l1", "b1"), season);
    REQUIRE(before.tap("count"));
    REQUIRE(before.last<OpenCount>());
    CHECK(before.last<OpenCount>()->tree == orchard::TreeAddress{2, 12});

    ledger::BudSample stays, goes;
    stays.block = goes.block = "b1";
    stays.tree = {2, 11};
    goes.tree = {3, 30};
    add_both(stays, goes);
    take_back(season, season.block("b1")->bud_samples.back().position.id);
    Phone buds(stage::at(ScreenId::buds, "l1", "b1"), season);
    REQUIRE(buds.tap("upper"));
    CHECK(buds.last<OpenBuds>()->tree == orchard::TreeAddress{2, 11});
  }
}
