// SPDX-License-Identifier: Apache-2.0
#include "screens/intents.h"

#include <doctest/doctest.h>

#include "screens/navigation.h"
#include "screens/news.h"
#include "unit/screens/stage.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;
using orchard::TreeAddress;

Session counting() {
  Session session = stage::at(ScreenId::home, "p3", "b1");
  apply(session, stage::farm(), OpenCount{CountPurpose::tag, "b1", {12, 48}});
  return session;
}

// As the app does: what is to be saved is written at once.
void run(Session& session, const Intent& intent) {
  apply(session, stage::farm(), intent);
  if (const auto* save = std::get_if<SaveRecords>(&intent)) {
    apply(session, stage::farm(),
          Writing{save->from, save->bodies.empty() ? ledger::Body() : save->bodies.front(), {}});
  }
}

}  // namespace

TEST_SUITE("screens: intents") {
  TEST_CASE("sixty taps of one stalled second are sixty") {
    Session session = counting();
    run(session, Taps{1, 60});
    CHECK(session.drafts.count->spurs() == 60);
    CHECK(session.drafts.count->steps.size() == 60);
  }

  TEST_CASE("undo takes back the last tap, whatever it was") {
    Session session = counting();
    run(session, Taps{1, 2});
    run(session, Taps{5, 1});
    run(session, Taps{-1, 1});
    CHECK(session.drafts.count->spurs() == 6);
    run(session, UndoTap{});
    CHECK(session.drafts.count->spurs() == 7);
    run(session, UndoTap{});
    CHECK(session.drafts.count->spurs() == 2);
    for (int i = 0; i < 5; ++i) run(session, UndoTap{});
    CHECK(session.drafts.count->spurs() == 0);
  }

  TEST_CASE("a count never falls below nothing and never passes 5000") {
    Session session = counting();
    run(session, Taps{-1, 3});
    CHECK(session.drafts.count->spurs() == 0);
    CHECK(session.drafts.count->steps.empty());
    run(session, Taps{5, 1001});
    CHECK(session.drafts.count->spurs() == 5000);
    run(session, Taps{1, 1});
    CHECK(session.drafts.count->spurs() == 5000);
  }

  TEST_CASE("limb by limb keeps a running sum, and undo walks back over a limb") {
    Session session = counting();
    run(session, ChooseWay{CountWay::limbs});
    run(session, Taps{1, 7});
    run(session, NextLimb{});
    run(session, Taps{1, 4});
    CHECK(session.drafts.count->spurs() == 11);
    CHECK(session.drafts.count->limbs == std::vector<int>{7, 4});
    for (int i = 0; i < 5; ++i) run(session, UndoTap{});
    CHECK(session.drafts.count->limbs == std::vector<int>{7});
    run(session, UndoTap{});
    CHECK(session.drafts.count->spurs() == 6);
  }

  TEST_CASE("a typed number stands in place of the tapped one, and tapping goes on from it") {
    Session session = counting();
    run(session, Taps{1, 9});
    run(session, ChooseWay{CountWay::keypad});
    CHECK(session.drafts.count->spurs() == 9);
    for (char digit : std::string("0187")) run(session, Digit{digit});
    CHECK(session.drafts.count->spurs() == 187);
    run(session, Digit{'b'});
    CHECK(session.drafts.count->spurs() == 18);
    run(session, ChooseWay{CountWay::tap});
    run(session, Taps{1, 2});
    CHECK(session.drafts.count->spurs() == 20);
  }

  TEST_CASE("opening another count brings the unfinished one back, never throws it away") {
    Session session = counting();
    run(session, Taps{1, 57});
    run(session, Back{});
    CHECK(session.here().screen == ScreenId::home);
    run(session, OpenCount{CountPurpose::tag, "b1", {1, 1}});
    REQUIRE(session.drafts.count.has_value());
    CHECK(session.drafts.count->spurs() == 57);
    CHECK(session.drafts.count->tree == TreeAddress{12, 48});
  }

  TEST_CASE("on a shared phone each person finds their own unfinished count") {
    Session session = counting();
    run(session, Taps{1, 57});
    run(session, ChoosePerson{"p4"});
    CHECK(session.person == "p4");
    CHECK_FALSE(session.drafts.count.has_value());
    run(session, OpenCount{CountPurpose::tag, "b1", {20, 7}});
    run(session, Taps{1, 3});
    run(session, ChoosePerson{"p3"});
    REQUIRE(session.drafts.count.has_value());
    CHECK(session.drafts.count->spurs() == 57);
    CHECK(session.here().screen == ScreenId::count);
    CHECK(session.parked.at("p4").count->spurs() == 3);
  }

  TEST_CASE("the arrows never leave the block") {
    Session session = counting();
    run(session, MoveTree{-100, 0});
    run(session, MoveTree{0, 1000});
    CHECK(session.drafts.count->tree == TreeAddress{1, 94});
  }

  TEST_CASE("saving closes the count and shows the verdict of that tree") {
    Session session = counting();
    run(session, Taps{1, 5});
    SaveRecords save;
    save.bodies = {ledger::TagCount{"b1", {12, 48}, 5, {}, {}, 0}};
    save.from = SaveRecords::From::count;
    run(session, save);
    CHECK_FALSE(session.drafts.count.has_value());
    CHECK(session.here().screen == ScreenId::verdict);
    CHECK(session.here().tree == TreeAddress{12, 48});
    CHECK(session.last_save.state == SaveState::writing);
    CHECK(std::holds_alternative<ledger::TagCount>(session.last_save.body));
  }

  TEST_CASE("back after saving an unpruned tree leads home, not to the same list again") {
    Session session = stage::at(ScreenId::home, "p2", "b1");
    run(session, Go{Stop{ScreenId::before_counts, {}, {}, {}, {}}});  // as a menu row asks for it
    run(session, OpenCount{CountPurpose::before, "b1", {12, 48}});
    run(session, Taps{5, 80});
    SaveRecords save;
    save.from = SaveRecords::From::count;
    run(session, save);
    CHECK(session.here().screen == ScreenId::before_counts);
    CHECK(session.here().block == "b1");
    run(session, Back{});
    CHECK(session.here().screen == ScreenId::home);
  }

  TEST_CASE("practice ends in a verdict and saves nothing") {
    Session session = stage::at(ScreenId::home, "p3", "b1");
    session.preferences.practice = true;
    run(session, OpenCount{CountPurpose::tag, "b1", {12, 48}});
    run(session, Taps{1, 5});
    CHECK(session.drafts.count->practice);
    run(session, FinishPractice{});
    CHECK(session.here().screen == ScreenId::verdict);
    CHECK(session.practised->spurs() == 5);
    CHECK(session.last_save.state == SaveState::none);
  }

  TEST_CASE("practice is forgotten with the screen that told it") {
    Session session = stage::at(ScreenId::home, "l1", "b1");
    session.preferences.practice = true;
    run(session, OpenCount{CountPurpose::check, "b1", {12, 48}});
    run(session, Taps{1, 5});
    run(session, FinishPractice{});
    CHECK(session.here().screen == ScreenId::verdict);
    run(session, Go{{ScreenId::who, {}, {}, {}, {}}});
    CHECK(session.practised.has_value());  // back leads to it again
    run(session, Home{});
    CHECK_FALSE(session.practised.has_value());
  }

  TEST_CASE("a pause counts twenty seconds at most towards the counting time") {
    Session session = counting();
    session.now_ms += 1000;
    run(session, Taps{1, 1});
    session.now_ms += 3600000;
    run(session, Taps{1, 1});
    CHECK(session.drafts.count->seconds() == 21);
  }

  TEST_CASE("counting again after taking more keeps the first number") {
    Session session = stage::at(ScreenId::verdict, "p3", "b1");
    const auto& tags = stage::farm().block("b1")->tag_counts;
    REQUIRE_FALSE(tags.empty());
    const auto& tag = tags.front();
    run(session, StartMend{tag.position.id});
    REQUIRE(session.drafts.count.has_value());
    CHECK(session.drafts.count->mends == tag.position.id);
    CHECK(session.drafts.count->spurs_before_mend == tag.body.spurs);
    CHECK_FALSE(session.drafts.count->mend_seconds);  // days later: nobody knows
    run(session, MoveTree{1, 1});
    CHECK(session.drafts.count->tree == tag.body.tree);
  }

  TEST_CASE("what was taken off after a count is timed from that count on, once") {
    const auto& tag = stage::farm().block("b1")->tag_counts.front();
    Session session = stage::at(ScreenId::verdict, "p3", "b1");
    session.now_ms = tag.at_ms() + 150000;
    run(session, StartMend{tag.position.id});
    CHECK(session.drafts.count->mend_seconds == 150);
    ledger::Season mended = stage::farm();
    ledger::TagCount again = tag.body;
    again.tree = {20, 3};
    again.spurs_after_mend = again.spurs - 10;
    stage::add(mended, again, "p3", session.now_ms);
    session.drafts.count.reset();
    session.now_ms += 60000;
    apply(session, mended, StartMend{mended.block("b1")->tag_counts.back().position.id});
    REQUIRE(session.drafts.count);
    CHECK_FALSE(session.drafts.count->mend_seconds);
  }

  TEST_CASE("back answers an open question with no before it leaves the screen") {
    Session session = counting();
    run(session, Ask{"throw"});
    run(session, Back{});
    CHECK(session.asking.empty());
    CHECK(session.here().screen == ScreenId::count);
    run(session, Back{});
    CHECK(session.here().screen == ScreenId::home);
    run(session, Back{});
    CHECK(session.stack.size() == 1);
  }

  TEST_CASE("the first screen follows from what is known") {
    Session session;
    CHECK(first_stack(stage::no_farm(), session).front().screen == ScreenId::welcome);
    CHECK(first_stack(stage::farm(), session).front().screen == ScreenId::who);
    session.person = "p3";
    CHECK(first_stack(stage::farm(), session).front().screen == ScreenId::choose_block);
    session.block = "b1";
    CHECK(first_stack(stage::farm(), session).front().screen == ScreenId::home);
    session.person = "m1";
    session.block.clear();
    CHECK(first_stack(stage::farm(), session).front().screen == ScreenId::home);
  }

  TEST_CASE("buds are tallied and undone one by one") {
    Session session = stage::at(ScreenId::buds, "l1", "b1");
    run(session, OpenBuds{"b1", {7, 20}, ledger::BranchPosition::lower});
    run(session, BudTaps{BudKind::spur_floral, 3});
    run(session, BudTaps{BudKind::lateral, 1});
    run(session, UndoBud{});
    CHECK(session.drafts.buds->counts[0] == 3);
    CHECK(session.drafts.buds->counts[4] == 0);
    run(session, OpenBuds{"b1", {9, 9}, ledger::BranchPosition::upper});
    CHECK(session.drafts.buds->tree == TreeAddress{7, 20});
  }
}
