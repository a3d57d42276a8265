// SPDX-License-Identifier: Apache-2.0
//
// From phone to phone as a person meets it: what is offered, what is asked for, what is said.
#include <doctest/doctest.h>

#include "unit/screens/phone.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;
using stage::Phone;

const Session& staged(const std::string& name) {
  for (const stage::Scene& scene : stage::scenes()) {
    if (scene.name == name) return scene.session;
  }
  FAIL("no scene " << name);
  return stage::scenes().front().session;
}

Phone phone_at(const std::string& name) { return Phone(staged(name), stage::farm()); }

}  // namespace

TEST_SUITE("screens: from phone to phone") {
  TEST_CASE("every role gets there from home, and everybody from the network page") {
    for (const char* person : {"p3", "l1", "m1"}) {
      CAPTURE(person);
      for (ScreenId from : {ScreenId::home, ScreenId::sync, ScreenId::share}) {
        Phone phone(stage::at(from, person, "b1"), stage::farm());
        REQUIRE(phone.tap("hand_over"));
        CHECK(phone.session.here().screen == ScreenId::hand_over);
        REQUIRE(phone.tap("receive"));
        CHECK(phone.session.here().screen == ScreenId::receive);
      }
    }
    Phone empty(stage::at(ScreenId::welcome, "", ""), stage::no_farm());
    REQUIRE(empty.tap("receive"));
    CHECK(empty.session.here().screen == ScreenId::receive);
  }

  TEST_CASE("how much it is stands there before anything is shown") {
    Phone phone(phone_at("hand_over"));
    CHECK(phone.shows("17 records, 6 kB"));
    CHECK(phone.shows("2154 records, 812 kB"));
    CHECK(phone.shows("4 codes, 1 second a round"));
    REQUIRE(phone.tap("part/1"));
    REQUIRE(phone.last<ChooseBatch>());
    CHECK(phone.last<ChooseBatch>()->batch == Batch::today);
    CHECK(phone.session.exchange.showing.state == Showing::State::making);
    CHECK(phone.shows("Making the codes"));
    CHECK_FALSE(phone.tap("codes"));
    Phone much(phone_at("hand_over_season"));
    CHECK(much.shows("1940 codes, 5 minutes a round"));
    CHECK(much.shows("A file is quicker"));
    CHECK_FALSE(Phone(phone_at("hand_over")).shows("A file is quicker"));
  }

  TEST_CASE("without a hub nothing is called unsent, and without a share sheet none is offered") {
    Session session = staged("hand_over");
    CHECK(Phone(session, stage::farm()).frame().find("part/0"));
    CHECK(Phone(session, stage::farm()).frame().find("sheet"));
    session.sync.link = Link::never_paired;
    session.exchange.can_share = false;
    Phone phone(session, stage::farm());
    CHECK_FALSE(phone.frame().find("part/0"));
    CHECK_FALSE(phone.frame().find("sheet"));
    REQUIRE(phone.tap("file"));
    REQUIRE(phone.last<HandOver>());
    CHECK_FALSE(phone.last<HandOver>()->sheet);
  }

  TEST_CASE("the codes can be paused, slowed, and taken up at any of them") {
    Phone phone(phone_at("codes"));
    CHECK(phone.shows("Code 7 of 21"));
    CHECK(phone.shows("6 codes a second"));
    REQUIRE(phone.tap("slower"));
    CHECK(phone.shows("4 codes a second"));
    for (int i = 0; i < 9; ++i) phone.tap("slower");
    CHECK(phone.session.exchange.showing.pace == 0);
    CHECK(phone.shows("1 code a second"));
    for (int i = 0; i < 9; ++i) phone.tap("faster");
    CHECK(phone.shows("10 codes a second"));
    REQUIRE(phone.tap("pause"));
    CHECK(phone.session.exchange.showing.paused);
    REQUIRE(phone.tap("number/more"));
    REQUIRE(phone.last<ShowCode>());
    CHECK(phone.last<ShowCode>()->code == 8);
    CHECK(phone.shows("Code 8 of 21"));
    REQUIRE(phone.tap("pause"));
    CHECK_FALSE(phone.last<PauseCodes>()->on);
    CHECK_FALSE(phone.session.exchange.showing.paused);
  }

  TEST_CASE("a code fills the phone's width in whole pixels, and stands in view") {
    Phone phone(staged("codes"), stage::farm(), {.width = 360, .height = 740});
    const widgets::Control* code = phone.frame().find("code");
    REQUIRE(code);
    CHECK(code->rect.w == 85 * 4);  // 77 modules and a quiet zone of 4 on each side, 4 px each
    CHECK(code->rect.h == code->rect.w);
    CHECK(code->rect.x == static_cast<int>(code->rect.x));
    CHECK(code->rect.bottom() <= code->clip.bottom());
    Phone lying(staged("codes"), stage::farm(), {.width = 740, .height = 360});
    const widgets::Control* small = lying.frame().find("code");
    REQUIRE(small);
    CHECK(small->rect.w == 85 * 3);
    CHECK(small->rect.bottom() <= small->clip.bottom());
  }

  TEST_CASE("what came in is said by kinds, and what was no file of records at all") {
    Phone taken(phone_at("receive_taken"));
    CHECK(taken.shows("34 new records"));
    CHECK(taken.shows("812 were here already."));
    Phone part(phone_at("receive_part"));
    CHECK(part.shows("2 are of a newer kind"));
    CHECK(part.shows("5 lines were damaged"));
    Phone wrong(phone_at("receive_no_records"));
    CHECK(wrong.shows("No records in it"));
    Session nothing = staged("receive_taken");
    nothing.exchange.taken.fresh = 0;
    CHECK(Phone(nothing, stage::farm()).shows("Nothing new"));
  }

  TEST_CASE("the camera's box, its progress and what is missing are there while it reads") {
    Phone phone(phone_at("receive"));
    CHECK_FALSE(phone.frame().find("viewfinder"));
    REQUIRE(phone.tap("scan"));
    CHECK(phone.last<StartScan>());
    CHECK(phone.frame().find("viewfinder"));
    phone.session.exchange.camera.have = 14;
    phone.session.exchange.camera.count = 21;
    phone.session.exchange.camera.missing = {3, 9, 20};
    phone.session.exchange.camera.damaged = 1;
    phone.look();
    CHECK(phone.shows("14 of 21 codes read"));
    CHECK(phone.shows("Still missing: 3, 9, 20"));
    CHECK(phone.shows("1 code was not clean"));
    REQUIRE(phone.tap("scan"));
    CHECK(phone.last<StopScan>());
    CHECK_FALSE(phone.frame().find("viewfinder"));
    CHECK(phone.shows("14 of 21 codes are read and kept"));
  }

  TEST_CASE("a camera that was not allowed is said in words, with the way around") {
    CHECK(Phone(phone_at("receive_refused")).shows("The camera was not allowed"));
    Phone none(phone_at("receive_none"));
    CHECK(none.shows("There is no camera here"));
    CHECK_FALSE(none.frame().find("scan"));
    REQUIRE(none.tap("file"));
    CHECK(none.last<ImportFile>());
  }

  TEST_CASE("another farm's records are asked about by both names; no leaves them out") {
    Phone phone(phone_at("receive_other_farm"));
    CHECK(phone.shows("Quince Hollow Orchards"));
    CHECK(phone.shows(stage::farm().farm().name));
    REQUIRE(phone.tap("other_farm/no"));
    CHECK_FALSE(phone.last<TakeOffered>());
    CHECK(phone.session.asking.empty());
    Phone yes(phone_at("receive_other_farm"));
    REQUIRE(yes.tap("other_farm/yes"));
    CHECK(yes.last<TakeOffered>());
  }

  TEST_CASE("the demo farm hands nothing over and takes nothing in") {
    Phone out(phone_at("hand_over_demo"));
    for (const char* id : {"codes", "sheet", "file", "receive"}) CHECK_FALSE(out.frame().find(id));
    Session in = staged("receive");
    in.demo = true;
    Phone phone(in, stage::farm());
    for (const char* id : {"scan", "file"}) CHECK_FALSE(phone.frame().find(id));
    CHECK(phone.shows("stay in the demo"));
  }
}
