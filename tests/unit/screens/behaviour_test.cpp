// SPDX-License-Identifier: Apache-2.0
//
// What a screen asks for when it is tapped: through the widget frame, by control, as a finger.
#include <doctest/doctest.h>

#include "screens/parts/wording.h"
#include "support/records.h"
#include "unit/screens/phone.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;

using stage::Phone;

}  // namespace

TEST_SUITE("screens: behaviour") {
  TEST_CASE("a pruner counts a tree and saves it") {
    Phone phone(stage::at(ScreenId::home, "p3", "b1"), stage::farm());
    CHECK(phone.shows("255"));
    REQUIRE(phone.tap("count"));
    CHECK(phone.session.here().screen == ScreenId::count);
    for (int i = 0; i < 12; ++i) phone.tap("pad");
    phone.tap("five");
    phone.tap("minus");
    phone.tap("undo");
    CHECK(phone.session.drafts.count->spurs() == 17);
    CHECK(phone.shows("Save 17"));
    REQUIRE(phone.tap("save"));
    CHECK(phone.shows("You have 17 here; your last trees had about"));
    REQUIRE(phone.tap("odd/yes"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    const auto* tag = std::get_if<ledger::TagCount>(&save->bodies.front());
    REQUIRE(tag);
    CHECK(tag->spurs == 17);
    CHECK(tag->block == "b1");
    CHECK(phone.session.here().screen == ScreenId::verdict);
    CHECK(phone.shows("Saving"));
    CHECK_FALSE(phone.shows("Saved on this phone"));
  }

  TEST_CASE("the person is changed in two taps from any screen") {
    Phone phone(stage::at(ScreenId::my_day, "p7", "b2"), stage::farm());
    CHECK(phone.shows("Yusuf"));
    REQUIRE(phone.tap("person"));
    REQUIRE(phone.tap("person/p8"));
    CHECK(phone.session.person == "p8");
    CHECK(phone.shows("Ingrid"));
  }

  TEST_CASE("a record from the future went by without a word about its phone") {
    ledger::Season season = stage::farm();
    const auto& last = season.block("b1")->tag_counts.back();
    ledger::Record wild = test::record_of({0xabcdef0000000000, 7}, 1, 0, last.body, "p7");
    wild.stamp.at_ms = stage::at(ScreenId::home, "l1", "b1").now_ms + 45LL * 24 * 3600 * 1000;
    season.apply(wild);
    for (const char* person : {"l1", "m1"}) {
      Phone phone(stage::at(ScreenId::home, person, "b1"), season);
      CHECK(phone.shows("Yusuf’s phone (abcdef) stamps its records 45 days ahead"));
    }
    CHECK_FALSE(Phone(stage::at(ScreenId::home, "l1", "b1"), stage::farm()).shows("days ahead"));
  }

  TEST_CASE("saved is said only when the phone has it") {
    Session session = stage::at(ScreenId::verdict, "p3", "b1");
    const auto& entry = stage::farm().block("b1")->tag_counts.back();
    session.stack.back().tree = entry.body.tree;
    session.last_save.body = entry.body;
    for (SaveState state : {SaveState::writing, SaveState::failed}) {
      session.last_save.state = state;
      session.last_save.trouble = "full";
      Phone phone(session, stage::farm());
      CHECK_FALSE(phone.shows("Saved on this phone"));
    }
    session.last_save.state = SaveState::on_phone;
    CHECK(Phone(session, stage::farm()).shows("Saved on this phone"));
  }

  TEST_CASE("a count that could not be kept is still there and can be tried again") {
    Session session = stage::at(ScreenId::verdict, "p3", "b1");
    session.last_save = {SaveState::failed, std::nullopt, "full",
                         ledger::TagCount{"b1", {12, 48}, 163, {}, {}, 0}};
    session.stack.back().tree = {12, 48};
    Phone phone(session, stage::farm());
    CHECK(phone.shows("Not saved"));
    CHECK(phone.shows("163"));
    REQUIRE(phone.tap("not_saved/action"));
    CHECK(phone.last<TrySaveAgain>());
  }

  TEST_CASE("the lead's list never shows the number on the tag") {
    Phone phone(stage::at(ScreenId::worklist, "l1", "b1"), stage::farm());
    AdviceCache cache;
    const auto& list = cache.worklist(stage::farm(), "b1", stage::thursday_ms());
    REQUIRE_FALSE(list.empty());
    for (const widgets::Control& control : phone.frame().controls()) {
      if (control.id.rfind("tree/", 0) != 0) continue;
      for (const advice::Recount& recount : list) {
        const std::string number = " " + std::to_string(recount.tag_spurs_hidden) + " ";
        CHECK((" " + control.label + " " + control.value + " ").find(number) == std::string::npos);
      }
    }
  }

  TEST_CASE("a blind re-count is saved as one, and then the tag is shown beside it") {
    Phone phone(stage::at(ScreenId::worklist, "l1", "b1"), stage::farm());
    AdviceCache cache;
    const auto& list = cache.worklist(stage::farm(), "b1", stage::thursday_ms());
    REQUIRE_FALSE(list.empty());
    const auto tree = list.front().tree;
    REQUIRE(phone.tap("tree/" + std::to_string(tree.row) + "-" + std::to_string(tree.tree)));
    CHECK(phone.session.drafts.count->purpose == CountPurpose::check);
    const std::string hidden = std::to_string(list.front().tag_spurs_hidden);
    CHECK_FALSE(phone.shows(hidden));
    phone.tap("way_type");
    for (char digit : std::string("200")) phone.tap(std::string("keypad/") + digit);
    REQUIRE(phone.tap("save"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    const auto* check = std::get_if<ledger::CheckCount>(&save->bodies.front());
    REQUIRE(check);
    CHECK(check->spurs == 200);
    CHECK(check->tree == tree);
    CHECK(phone.shows("The tag said"));
    CHECK(phone.shows(hidden));
  }

  TEST_CASE("a lead tells a pruner, and that they did is a record") {
    Session session = stage::at(ScreenId::standing, "l1", "b1");
    session.stack.back().person = "p4";
    Phone phone(session, stage::farm());
    REQUIRE(phone.tap("tell"));
    CHECK(phone.session.here().screen == ScreenId::give_advice);
    const int before = 60;
    CHECK(phone.shows("Tomasz, leave about " + std::to_string(before) + " more"));
    phone.tap("by/less");
    REQUIRE(phone.tap("told"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    const auto* advice = std::get_if<ledger::Advice>(&save->bodies.front());
    REQUIRE(advice);
    CHECK(advice->person == "p4");
    CHECK(advice->direction == ledger::Direction::lighter);
    CHECK(advice->spurs_per_tree_to_change == before - 5);
    CHECK(phone.session.here().screen == ScreenId::standing);
  }

  TEST_CASE("the lead opens the reason: what is left, the target, the chances, the counts") {
    Session session = stage::at(ScreenId::standing, "l1", "b1");
    session.stack.back().person = "p4";
    Phone phone(session, stage::farm());
    const std::vector<std::string> numbers = {"Left on a tree", "Chance of too few", "Own counts",
                                              "Re-counted by the lead"};
    for (const std::string& number : numbers) CHECK_FALSE(phone.shows(number));
    REQUIRE(phone.tap("reason"));
    for (const std::string& number : numbers) CHECK_MESSAGE(phone.shows(number), number);
    CHECK(phone.shows("Count by count"));  // the chart of drift stands below
    REQUIRE(phone.tap("reason"));
    for (const std::string& number : numbers) CHECK_FALSE(phone.shows(number));
  }

  TEST_CASE("a mended tree keeps both numbers, and its re-count is held against the second") {
    const ledger::Season farm = [] {
      ledger::Season season = stage::farm();
      ledger::TagCount tag;
      tag.block = "b1";
      tag.tree = {2, 3};
      tag.spurs = 260;
      tag.spurs_after_mend = 170;
      stage::add(season, tag, "p4", stage::thursday_ms());
      return season;
    }();
    Session own = stage::at(ScreenId::verdict, "p4", "b1");
    own.stack.back().tree = {2, 3};
    Phone pruner(own, farm);
    CHECK(pruner.shows("260"));
    CHECK(pruner.shows("170"));
    Session checked = stage::at(ScreenId::verdict, "l1", "b1");
    checked.stack.back().tree = {2, 3};
    checked.last_save.body = ledger::CheckCount{"b1", {2, 3}, 185, 0};
    Phone lead(checked, farm);
    CHECK(lead.shows("170"));
    CHECK_FALSE(lead.shows("260"));
  }

  TEST_CASE("no statistics on the pruner's own screens") {
    for (ScreenId screen : {ScreenId::home, ScreenId::verdict, ScreenId::my_day}) {
      Session session = stage::at(screen, "p4", "b1");
      Phone phone(session, stage::farm());
      for (const char* word : {"Chance", "interval", "%", "probab"}) CHECK_FALSE(phone.shows(word));
    }
  }

  TEST_CASE("a wrong entry says beside its field what it is and what is allowed") {
    Session session = stage::at(ScreenId::edit_block, "m1", "b1");
    session.stack.back().block = "b1";
    Phone phone(session, stage::farm());
    REQUIRE(phone.type("block/b1/row_m", "0"));
    CHECK(phone.shows("0 is not allowed: 1.7 to 65.6."));
    REQUIRE(phone.type("block/b1/floral", "140"));
    CHECK(phone.shows("140 is not allowed: 1 to 100."));
    phone.asked.clear();
    REQUIRE(phone.tap("keep"));
    CHECK_FALSE(phone.last<SaveRecords>());
    CHECK(phone.session.here().screen == ScreenId::edit_block);
  }

  TEST_CASE("a correct block is kept with what was typed, and nothing else changed") {
    Session session = stage::at(ScreenId::edit_block, "m1", "b1");
    session.stack.back().block = "b1";
    session.preferences.units = Units::metric;
    Phone phone(session, stage::farm());
    REQUIRE(phone.type("block/b1/tolerance", "20"));
    REQUIRE(phone.tap("keep"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    const auto* settings = std::get_if<ledger::BlockSettings>(&save->bodies.front());
    REQUIRE(settings);
    orchard::Block expected = *stage::farm().block("b1")->block;
    expected.tolerance_fraction = 0.2;
    CHECK(settings->block == expected);
  }

  TEST_CASE("a new farm is a name, a person and a choice of units") {
    Phone phone(stage::at(ScreenId::start_farm, "", ""), stage::no_farm());
    REQUIRE(phone.tap("go"));
    CHECK(phone.shows("A name is needed."));
    phone.type("farm", "North Slope");
    phone.type("you", "Robin");
    phone.tap("us/1");
    REQUIRE(phone.tap("go"));
    const StartFarm* start = phone.last<StartFarm>();
    REQUIRE(start);
    CHECK(start->farm.name == "North Slope");
    CHECK(start->farm.us_units);
    CHECK(start->manager.name == "Robin");
  }

  TEST_CASE("a join code may be read aloud with spaces and hyphens") {
    Phone phone(stage::at(ScreenId::join_farm, "", ""), stage::no_farm());
    phone.type("code", "abcde 12345");
    REQUIRE(phone.tap("go"));
    const JoinFarm* join = phone.last<JoinFarm>();
    REQUIRE(join);
    CHECK(join->code == "ABCDE12345");
  }

  TEST_CASE("a saved count is corrected or taken back by records that name it") {
    const auto& entry = stage::farm().block("b1")->tag_counts.back();
    Session session = stage::at(ScreenId::entry, entry.author, "b1");
    session.stack.back().record = entry.position.id.text();
    {
      Phone phone(session, stage::farm());
      phone.type("entry/" + entry.position.id.text(), "150");
      REQUIRE(phone.tap("keep"));
      const SaveRecords* save = phone.last<SaveRecords>();
      REQUIRE(save);
      CHECK(save->replaces == entry.position.id);
      CHECK(std::get_if<ledger::TagCount>(&save->bodies.front())->spurs == 150);
    }
    Phone phone(session, stage::farm());
    phone.tap("take_back");
    REQUIRE(phone.tap("take_back/yes"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    CHECK(save->replaces == entry.position.id);
    CHECK(std::holds_alternative<ledger::Withdrawal>(save->bodies.front()));
  }

  TEST_CASE("an update waits for the open count") {
    Session session = stage::at(ScreenId::sync, "p3", "b1");
    session.update_version = "2";
    session.drafts.count = CountDraft{};
    session.drafts.count->block = "b1";
    session.drafts.count->tree = {12, 48};
    session.drafts.count->limbs = {3};
    session.drafts.count->steps = {1, 1, 1};
    Phone counting(session, stage::farm());
    CHECK(counting.shows("Finish the open count first"));
    CHECK_FALSE(counting.frame().find("update"));
    session.drafts.count.reset();
    Phone idle(session, stage::farm());
    REQUIRE(idle.tap("update"));
    CHECK(idle.last<ApplyUpdate>());
  }

  TEST_CASE("every empty list says what to do next") {
    for (ScreenId screen : {ScreenId::who, ScreenId::choose_block, ScreenId::my_day,
                            ScreenId::worklist, ScreenId::agreement, ScreenId::exercise,
                            ScreenId::buds, ScreenId::before_counts, ScreenId::review, ScreenId::block_map,
                            ScreenId::history, ScreenId::second_pass, ScreenId::harvest,
                            ScreenId::return_bloom}) {
      const bool nobody = screen == ScreenId::who;
      Phone phone(stage::at(screen, nobody ? "" : "m", ""),
                  nobody ? stage::no_farm() : stage::new_farm());
      int sentences = 0;
      for (const widgets::Control& control : phone.frame().controls()) {
        sentences += control.role == widgets::Role::text && control.label.size() > 25;
      }
      CHECK_MESSAGE(sentences > 0, static_cast<int>(screen));
    }
  }

  TEST_CASE("a season of 5,000 counts draws only the rows in view") {
    ledger::Season season = stage::new_farm();
    ledger::BlockSettings settings;
    settings.block.id = "b1";
    settings.block.name = "Long";
    settings.block.variety = "Gala";
    settings.block.rows = 100;
    settings.block.trees_per_row = 100;
    settings.block.spacing = {4, 1};
    settings.block.target.fruits_per_tree = 100;
    stage::add(season, settings, "m", stage::thursday_ms() - 800);
    for (int i = 0; i < 5000; ++i) {
      stage::add(season, ledger::TagCount{"b1", {1 + i / 100, 1 + i % 100}, 150, {}, {}, 0}, "m",
                 stage::thursday_ms() - 700000 + i);
    }
    Phone phone(stage::at(ScreenId::history, "m", "b1"), season);
    int rows = 0;
    for (const widgets::Control& control : phone.frame().controls()) {
      rows += control.id.rfind("entry/", 0) == 0;
    }
    CHECK(rows > 0);
    CHECK(rows < 40);
  }

  TEST_CASE("practice records nothing, whatever is counted") {
    for (CountPurpose purpose :
         {CountPurpose::tag, CountPurpose::check, CountPurpose::before, CountPurpose::clusters,
          CountPurpose::return_bloom, CountPurpose::exercise}) {
      Session session = stage::at(ScreenId::home, "l1", "b1");
      session.preferences.practice = true;
      apply(session, stage::farm(), OpenCount{purpose, "b1", {12, 48}, "e1", 1});
      Phone phone(session, stage::farm());
      CHECK(phone.shows("Practice"));
      phone.tap("pad");
      REQUIRE(phone.tap("save"));
      CHECK_FALSE(phone.last<SaveRecords>());
      CHECK_FALSE(phone.session.drafts.count.has_value());
      CHECK(phone.shows("Practice: not recorded"));
    }
    Session session = stage::at(ScreenId::buds, "l1", "b1");
    session.preferences.practice = true;
    apply(session, stage::farm(), OpenBuds{"b1", {7, 20}, ledger::BranchPosition::upper});
    Phone phone(session, stage::farm());
    phone.tap("spur_floral");
    REQUIRE(phone.tap("save"));
    CHECK_FALSE(phone.last<SaveRecords>());
    CHECK(phone.shows("Practice: not recorded"));
    REQUIRE(phone.tap("practice/action"));
    CHECK_FALSE(phone.session.preferences.practice);
  }

  TEST_CASE("the share of flower buds moves with the branch in hand") {
    Session session = stage::at(ScreenId::buds, "l1", "b1");
    apply(session, stage::farm(), OpenBuds{"b1", {7, 20}, ledger::BranchPosition::upper});
    Phone phone(session, stage::farm());
    const auto share = [&] {
      for (const widgets::Control& control : phone.frame().controls()) {
        if (control.label.find("whole block") != std::string::npos) {
          return control.label + control.value;
        }
      }
      return std::string();
    };
    phone.tap("spur_floral");
    const std::string before = share();
    CHECK_FALSE(before.empty());
    for (int i = 0; i < 30; ++i) phone.tap("spur_vegetative");
    CHECK(share() != before);
  }

  TEST_CASE("a turn of a counting exercise is blind and is saved with its round") {
    Phone phone(stage::at(ScreenId::home, "p3", "b1"), stage::exercise_farm());
    REQUIRE(phone.tap("exercise"));
    CHECK(phone.session.here().screen == ScreenId::exercise);
    CHECK(phone.shows("2 counts left for you"));
    for (const char* number : {"158", "149", "185", "160", "171", "164", "203"}) {
      CHECK_FALSE(phone.shows(number));
    }
    REQUIRE(phone.tap("turn"));
    CHECK(phone.session.drafts.count->tree == orchard::TreeAddress{12, 52});
    phone.tap("tree");
    CHECK_FALSE(phone.tap("place/more"));  // a turn is of its tree
    for (int i = 0; i < 9; ++i) phone.tap("pad");
    REQUIRE(phone.tap("save"));
    CHECK(phone.shows("You have 9 here; the target is 255."));
    REQUIRE(phone.tap("odd/yes"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    const auto* count = std::get_if<ledger::ExerciseCount>(&save->bodies.front());
    REQUIRE(count);
    CHECK(count->exercise == "e1");
    CHECK(count->round == 2);
    CHECK(count->spurs == 9);
    CHECK(phone.session.here().screen == ScreenId::exercise);
  }

  TEST_CASE("the result of an exercise is for the lead, and only when they are through") {
    Phone lead(stage::at(ScreenId::exercise, "l1", "b1"), stage::exercise_farm());
    CHECK(lead.shows("What came out"));
    CHECK(lead.shows("Two people on one tree"));
    Phone pruner(stage::at(ScreenId::exercise, "p1", "b1"), stage::exercise_farm());
    CHECK(pruner.shows("You are through"));
    CHECK_FALSE(pruner.shows("What came out"));
    Phone still_counting(stage::at(ScreenId::exercise, "l2", "b1"), stage::exercise_farm());
    CHECK_FALSE(still_counting.shows("What came out"));
  }

  TEST_CASE("a lead begins an exercise with any tree, and it is new to it") {
    Phone phone(stage::at(ScreenId::exercise, "l1", "b1"), stage::farm());
    REQUIRE(phone.tap("first"));
    REQUIRE(phone.session.drafts.count.has_value());
    CHECK(phone.session.drafts.count->purpose == CountPurpose::exercise);
    CHECK_FALSE(phone.session.drafts.count->exercise.empty());
    const int place = phone.session.drafts.count->tree.tree;
    phone.tap("tree");
    REQUIRE(phone.tap("place/less"));
    CHECK(phone.session.drafts.count->tree.tree == place - 1);
  }

  TEST_CASE("signs of numbers that were not counted stood where only programs read") {
    // In b3 nobody was re-counted: twenty numbers of one person, all rounded, none by p2.
    ledger::Season season = stage::new_farm();
    stage::add(season, test::block_settings("b3"), "m1", stage::thursday_ms());
    for (const char* person : {"p1", "p2"}) {
      stage::add(season, ledger::PersonSettings{{person, person, orchard::Role::pruner, true}}, "m1",
                 stage::thursday_ms());
    }
    stage::add(season, ledger::PersonSettings{{"l1", "Lea", orchard::Role::lead, true}}, "m1",
               stage::thursday_ms());
    const int odd[] = {3, 1, 4, 8, 7, 2, 9, 6, 12, 11, 14, 13, 17, 16, 19, 18, 21, 22, 24, 27};
    for (int i = 0; i < 20; ++i) {
      const std::int64_t at_ms = stage::thursday_ms() - 1000 * (60 - i);
      stage::add(season, ledger::TagCount{"b3", {1 + i, 5}, 150 + 5 * (odd[i] % 13), {}, {}, 0},
                 "p1", at_ms);
      stage::add(season, ledger::TagCount{"b3", {1 + i, 9}, 151 + 7 * (odd[i] % 11), {}, {}, 0},
                 "p2", at_ms + 500);
    }
    for (const ScreenId screen : {ScreenId::home, ScreenId::agreement}) {
      CHECK(Phone(stage::at(screen, "l1", "b3"), season).shows("Many numbers end in 0 or 5."));
    }
    Session of_p1 = stage::at(ScreenId::standing, "l1", "b3");
    of_p1.stack.back().person = "p1";
    CHECK(Phone(of_p1, season).shows("How this person counts"));
    of_p1.stack.back().person = "p2";
    CHECK_FALSE(Phone(of_p1, season).shows("How this person counts"));
  }

  TEST_CASE("a pruner is held beside the others of the block, too") {
    Session session = stage::at(ScreenId::standing, "l1", "b1");
    session.stack.back().person = "p4";
    Phone phone(session, stage::farm());
    CHECK(phone.shows("Beside the others in this block"));
    CHECK(phone.shows("fewer than the others in this block"));
    CHECK(Phone(stage::at(ScreenId::home, "l1", "b1"), stage::farm()).shows("the crew leaves"));
  }
}
