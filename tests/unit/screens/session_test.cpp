// SPDX-License-Identifier: Apache-2.0
#include "screens/session.h"

#include <doctest/doctest.h>

#include "screens/intents.h"
#include "unit/screens/stage.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;

Drafts half_done() {
  Session session = stage::at(ScreenId::home, "p3", "b1");
  apply(session, stage::farm(), OpenCount{CountPurpose::tag, "b1", {12, 48}});
  apply(session, stage::farm(), ChooseWay{CountWay::limbs});
  apply(session, stage::farm(), Taps{1, 12});
  apply(session, stage::farm(), NextLimb{});
  apply(session, stage::farm(), Taps{5, 2});
  apply(session, stage::farm(), OpenBuds{"b1", {7, 20}, ledger::BranchPosition::lower});
  apply(session, stage::farm(), BudTaps{BudKind::terminal_vegetative, 4});
  return session.drafts;
}

}  // namespace

TEST_SUITE("screens: session") {
  TEST_CASE("what is half done comes back from its text as it was") {
    const Drafts before = half_done();
    const auto after = read_drafts(write_drafts(before));
    REQUIRE(after.has_value());
    REQUIRE(after->count.has_value());
    CHECK(after->count->spurs() == 22);
    CHECK(after->count->limbs == before.count->limbs);
    CHECK(after->count->steps == before.count->steps);
    CHECK(after->count->tree == before.count->tree);
    CHECK(after->count->way == CountWay::limbs);
    CHECK(after->count->started_ms == before.count->started_ms);
    REQUIRE(after->buds.has_value());
    CHECK(after->buds->counts[3] == 4);
    CHECK(after->buds->position == ledger::BranchPosition::lower);
    CHECK(write_drafts(*after) == write_drafts(before));
  }

  TEST_CASE("nothing half done is no text at all") {
    CHECK(write_drafts(Drafts{}) == "");
    Drafts untouched;
    untouched.count = CountDraft{};
    CHECK(write_drafts(untouched) == "");
    CHECK(read_drafts("").has_value());
  }

  TEST_CASE("a spoilt text gives nothing back, never half a count") {
    for (const char* text : {"{", "[]", "{\"count\":3}", "{\"count\":{\"purpose\":\"dance\"}}",
                             "{\"count\":{\"purpose\":\"tag\",\"block\":\"b1\",\"row\":1,\"tree\":1,"
                             "\"way\":\"tap\",\"limbs\":[-4]}}",
                             "{\"count\":{\"purpose\":\"tag\",\"block\":\"b1\",\"row\":1,\"tree\":1,"
                             "\"way\":\"keypad\",\"digits\":\"1x\"}}",
                             "{\"count\":{\"purpose\":\"tag\",\"block\":\"b1\",\"row\":1,\"tree\":1,"
                             "\"way\":\"keypad\",\"digits\":\"12345\"}}"}) {
      CHECK_FALSE(read_drafts(text).has_value());
    }
  }

  TEST_CASE("a draft whose count is already in the season is dropped") {
    const auto& entry = stage::farm().block("b1")->tag_counts.front();
    CountDraft count;
    count.block = "b1";
    count.person = entry.author;
    count.tree = entry.body.tree;
    count.limbs = {entry.body.spurs};
    count.steps = {1};
    count.started_ms = entry.at_ms() - 60000;
    Drafts drafts;
    drafts.count = count;
    Session session = stage::at(ScreenId::home, entry.author, "b1");
    restore_drafts(session, stage::farm(), entry.author, write_drafts(drafts));
    CHECK_FALSE(session.drafts.count.has_value());
    drafts.count->started_ms = entry.at_ms() + 60000;  // begun after that count: another one
    restore_drafts(session, stage::farm(), entry.author, write_drafts(drafts));
    CHECK(session.drafts.count.has_value());
  }

  TEST_CASE("the phone remembers who, where and how") {
    Session before;
    before.person = "p3";
    before.block = "b2";
    before.preferences = {"es", Theme::dark, 145, true, Units::us, true, false};
    Session after;
    REQUIRE(read_memory(after, write_memory(before)));
    CHECK(after.person == "p3");
    CHECK(after.block == "b2");
    CHECK(after.preferences == before.preferences);
    CHECK_FALSE(read_memory(after, "{\"preferences\":{}}"));
    CHECK(after.person == "p3");
  }
}
