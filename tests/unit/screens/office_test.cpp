// SPDX-License-Identifier: Apache-2.0
//
// The manager's screens: the day that begins with what to decide, a desk with places and tables at
// full width, a form beside its consequences, a new block that greets nobody with a warning.
#include <doctest/doctest.h>

#include <algorithm>

#include "advice/review/day_review.h"
#include "base/text.h"
#include "screens/parts/wording.h"
#include "unit/screens/phone.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;

using stage::Phone;

const widgets::HeadlessSetting desk{.width = 1440, .height = 900};
const widgets::HeadlessSetting tablet{.width = 820, .height = 1180};

int place_of(Phone& phone, const std::string& start) {  // in reading order; -1: not there
  const auto& controls = phone.frame().controls();
  for (std::size_t i = 0; i < controls.size(); ++i) {
    if (controls[i].id.rfind(start, 0) == 0) return static_cast<int>(i);
  }
  return -1;
}

const widgets::Control* found(Phone& phone, const std::string& start) {
  const int at = place_of(phone, start);
  return at < 0 ? nullptr : &phone.frame().controls()[static_cast<std::size_t>(at)];
}

Session edits(const std::string& block) {
  Session session = stage::at(ScreenId::edit_block, "m1", "b1");
  session.stack.back().block = block;
  return session;
}

// The farm's week is over: nothing is recorded on this day.
Session a_week_later() {
  Session session = stage::at(ScreenId::review, "m1", "b1");
  session.now_ms += 7 * std::int64_t{86400000};
  return session;
}

}  // namespace

TEST_SUITE("screens: the day") {
  TEST_CASE("the lead's charts took a third of a desk, and its first page said all places twice") {
    struct Chart {
      ScreenId screen;
      const char* id;
      const ledger::Season& season;
      float least;
    };
    const Chart charts[] = {{ScreenId::home, "crew", stage::farm(), 700},
                            {ScreenId::standing, "drift", stage::farm(), 1100},
                            {ScreenId::exercise, "spread", stage::exercise_farm(), 1100}};
    for (const Chart& chart : charts) {
      Session session = stage::at(chart.screen, "l1", "b1");
      if (chart.screen == ScreenId::standing) session.stack.back().person = "p4";
      Phone phone(session, chart.season, desk);
      CAPTURE(std::string(chart.id));
      const widgets::Control* drawn = phone.frame().find(chart.id);
      REQUIRE(drawn);
      CHECK(drawn->rect.w > chart.least);
    }
    Phone home(stage::at(ScreenId::home, "l1", "b1"), stage::farm(), desk);
    CHECK(place_of(home, "place/buds") >= 0);
    CHECK(place_of(home, "buds") < 0);
    CHECK(place_of(home, "my_day") >= 0);
  }

  TEST_CASE("a sentence of the day began with a small letter") {
    Phone phone(stage::at(ScreenId::home, "m1", "b1"), stage::farm(), desk);
    CHECK(phone.shows(". Changed since"));
    CHECK_FALSE(phone.shows(". changed"));
  }

  // 8 March 2026 has 23 hours on the Pacific coast, 1 November 25 (US Energy Policy Act of 2005,
  // section 110; America/Los_Angeles of the IANA time zone database 2025b by Python's zoneinfo).
  TEST_CASE("counts of the day the clock changes lay on another day, or at another hour") {
    ledger::Season season = stage::farm();
    ledger::FarmSettings farm = season.farm();
    farm.time_zone = "<-08>8<-07>,M3.2.0,M11.1.0";
    farm.utc_offset_minutes = -480;
    const auto at_ms = [](const char* utc) {
      std::int64_t at = 0;
      CHECK(base::parse_iso(utc, at));
      return at;
    };
    stage::add(season, farm, "m1", at_ms("2026-02-28T12:00"));
    for (const char* utc : {"2026-03-08T07:59", "2026-03-08T08:00", "2026-03-09T06:59",
                            "2026-03-09T07:00", "2026-11-01T07:00", "2026-11-02T07:59"}) {
      stage::add(season, ledger::TagCount{"b1", {1, 2}, 200, {}, {}, 0}, "p3", at_ms(utc));
    }
    Session session = stage::at(ScreenId::history, "m1", "b1");
    session.now_ms = at_ms("2026-11-03T12:00");
    session.filter = "row 1, tree 2";
    Phone phone(session, season, desk);
    for (const std::string time : {"1 Nov 23:59", "1 Nov 00:00", "9 Mar 00:00", "8 Mar 23:59",
                             "8 Mar 00:00", "7 Mar 23:59"}) {
      CAPTURE(time);
      CHECK(phone.shows(time));
    }
    const auto counts_on = [&](const char* day) {
      return advice::day_review(season, season.day_of(at_ms(day)), session.now_ms).counts;
    };
    CHECK(counts_on("2026-03-08T20:00") == 2);
    CHECK(counts_on("2026-03-07T20:00") == 1);
    CHECK(counts_on("2026-11-01T20:00") == 2);
  }

  TEST_CASE("a day without records showed nothing: it opens on the last one that has some") {
    Phone phone(a_week_later(), stage::farm());
    CHECK(phone.shows("The day: 5 Feb"));
    CHECK(phone.shows("To decide"));
  }

  TEST_CASE("earlier and later go to days with records, and stop at the ends") {
    Phone phone(a_week_later(), stage::farm());
    CHECK_FALSE(phone.frame().find("later")->enabled);
    int days = 1;
    while (phone.frame().find("earlier")->enabled && days < 30) {
      REQUIRE(phone.tap("earlier"));
      CHECK_FALSE(phone.shows("No record on this day"));
      ++days;
    }
    CHECK(days >= 3);
    CHECK(days < 30);
    REQUIRE(phone.tap("later"));
  }

  TEST_CASE("what needs a decision stands before the people and the totals") {
    Phone phone(stage::at(ScreenId::review, "m1", "b1"), stage::farm());
    const int decide = place_of(phone, "decide/");
    REQUIRE(decide >= 0);
    CHECK(decide < place_of(phone, "person/"));
    CHECK(decide < place_of(phone, "map/"));
    const widgets::Control* first = found(phone, "decide/");
    CHECK(first->hint.find("Bench") != std::string::npos);  // its block is named
  }

  TEST_CASE("a lead who only re-counts has no row that leads to a standing") {
    Phone phone(stage::at(ScreenId::review, "m1", "b1"), stage::farm());
    CHECK(phone.shows("Teresa"));
    CHECK(place_of(phone, "person/l1") < 0);
    CHECK(phone.shows("4 re-counted"));
  }

  TEST_CASE("each tree to go back to names its block") {
    Phone phone(stage::at(ScreenId::review, "m1", "b1"), stage::farm());
    int trees = 0;
    for (const widgets::Control& control : phone.frame().controls()) {
      if (control.label.find(" over") == std::string::npos ||
          control.label.find(", row ") == std::string::npos) {
        continue;
      }
      ++trees;
      const bool named = control.label.find("Lower Bench") == 0 ||
                         control.label.find("Mill Side") == 0;
      CHECK_MESSAGE(named, control.label);
    }
    CHECK(trees > 3);
  }

  TEST_CASE("done as wanted and half of the trees out of the band are said in one sentence") {
    Phone phone(stage::at(ScreenId::review, "m1", "b1"), stage::farm());
    CHECK(phone.shows("The mean is as wanted, but trees differ: "));
    CHECK_FALSE(phone.shows("chances in 100"));
  }

  TEST_CASE("amounts carry the farm's own currency") {
    ledger::Season season = stage::farm();
    ledger::FarmSettings farm = season.farm();
    farm.currency = "CA$";
    stage::add(season, farm, "m1", stage::thursday_ms());
    CHECK(money_text(season, 1240) == "CA$" + whole(1240));
    Phone phone(stage::at(ScreenId::review, "m1", "b1"), season);
    CHECK(phone.shows("Labour so far: CA$"));
    farm.currency = "CAD";
    stage::add(season, farm, "m1", stage::thursday_ms() + 1);
    CHECK(money_text(season, 12) == "CAD\u00a012");
    farm.currency.clear();
    stage::add(season, farm, "m1", stage::thursday_ms() + 2);
    CHECK(money_text(season, 12) == "12");
  }
}

TEST_SUITE("screens: the desk") {
  TEST_CASE("a desk has the places of the app at its side, a phone and a pruner have not") {
    Phone phone(stage::at(ScreenId::home, "m1", "b1"), stage::farm(), desk);
    REQUIRE(phone.frame().find("place/review"));
    CHECK(phone.frame().find("place/home")->current);
    REQUIRE(phone.tap("place/review"));
    CHECK(phone.session.here().screen == ScreenId::review);
    CHECK(phone.frame().find("place/review")->current);
    REQUIRE(phone.tap("place/share"));
    CHECK(phone.session.stack.size() == 2);  // not one deeper with each place
    REQUIRE(phone.tap("place/home"));
    CHECK(phone.session.stack.size() == 1);
    CHECK_FALSE(Phone(stage::at(ScreenId::home, "m1", "b1"), stage::farm())
                    .frame().find("place/review"));
    CHECK_FALSE(Phone(stage::at(ScreenId::home, "p3", "b1"), stage::farm(), desk)
                    .frame().find("place/review"));
    CHECK_FALSE(Phone(stage::at(ScreenId::home, "m1", "b1"), stage::farm(), tablet)
                    .frame().find("place/review"));
  }

  TEST_CASE("a heading sorts its table, most first, and once more turns it round") {
    Phone phone(stage::at(ScreenId::review, "m1", "b1"), stage::farm(), desk);
    const auto counts = [&] {
      std::vector<int> column;
      for (int row = 0;; ++row) {
        const auto* cell = phone.frame().find("people/" + std::to_string(row) + "/2");
        if (!cell) return column;
        column.push_back(std::atoi(cell->label.c_str()));
      }
    };
    REQUIRE(counts().size() > 8);
    CHECK_FALSE(std::is_sorted(counts().rbegin(), counts().rend()));
    REQUIRE(phone.tap("people/sort/2"));
    std::vector<int> now = counts();
    CHECK(std::is_sorted(now.rbegin(), now.rend()));
    REQUIRE(phone.tap("people/sort/2"));
    now = counts();
    CHECK(std::is_sorted(now.begin(), now.end()));
    REQUIRE(phone.tap("b1/p4"));
    CHECK(phone.session.here().screen == ScreenId::standing);
  }

  TEST_CASE("the form stands beside its consequences, which stay while it is scrolled") {
    Phone phone(edits("b1"), stage::farm(), desk);
    const auto consequence = [&] { return phone.frame().find(widgets::Role::heading,
                                                             "What that means"); };
    REQUIRE(consequence());
    const widgets::Rect before = consequence()->rect;
    CHECK(before.x > phone.frame().find("block/b1/name")->rect.right());
    phone.frame().ui().scroll_by(300);
    phone.look();
    CHECK(phone.frame().find("block/b1/name")->rect.bottom() < 100);
    CHECK(consequence()->rect.y >= 60);  // below the bar, in view
    CHECK(consequence()->rect.bottom() < 900);
  }

  TEST_CASE("on a phone the target stays in sight while its numbers are typed") {
    Phone phone(edits("b1"), stage::farm());
    phone.frame().ui().scroll_by(900);
    phone.look();
    const widgets::Control* pinned = phone.frame().find("pinned");
    REQUIRE(pinned);
    CHECK(pinned->label == "Leave on each tree: 255");
    CHECK(pinned->rect.y > 0);
    CHECK(pinned->rect.bottom() < 200);
    REQUIRE(phone.type("block/b1/insurance", "2.5"));
    CHECK(phone.frame().find("pinned")->label != "Leave on each tree: 255");
    phone.type("block/b1/yield", "");
    CHECK(phone.frame().find("pinned")->label == "Leave on each tree: not yet");
  }
}

TEST_SUITE("screens: a new block") {
  TEST_CASE("the first thing said of a new block was a warning of 50: its stride fits its rows") {
    for (const char* trees : {"50", "100", "83", "25", "10", "94"}) {
      Session session = stage::at(ScreenId::edit_block, "m", "");
      Phone phone(session, stage::new_farm());
      phone.type("block//rows", "40");
      phone.type("block//trees", trees);
      CHECK_MESSAGE(place_of(phone, "stride_warning") < 0, trees);
    }
  }

  TEST_CASE("a stride that was typed is kept, and warned of") {
    Phone phone(stage::at(ScreenId::edit_block, "m", ""), stage::new_farm());
    phone.type("block//rows", "40");
    phone.type("block//trees", "50");
    phone.type("block//stride", "50");
    CHECK(place_of(phone, "stride_warning") >= 0);
    CHECK(phone.frame().find("block//stride")->value == "50");
  }

  TEST_CASE("varieties are suggested while one is typed, by any word of their names") {
    Phone phone(stage::at(ScreenId::edit_block, "m", ""), stage::new_farm());
    CHECK(place_of(phone, "variety/") < 0);
    phone.type("block//variety", "hon");
    REQUIRE(phone.tap("variety/Honeycrisp"));
    CHECK(phone.frame().find("block//variety")->value == "Honeycrisp");
    CHECK(place_of(phone, "variety/") < 0);
    CHECK(phone.shows("Use what is usual for Honeycrisp"));
    phone.type("block//variety", "smi");
    CHECK(place_of(phone, "variety/Granny Smith") >= 0);
  }

  TEST_CASE("a new farm measures as the phone's region does") {
    for (const bool us : {false, true}) {
      Session session = stage::at(ScreenId::start_farm, "", "");
      session.us_region = us;
      Phone phone(session, stage::no_farm());
      phone.type("farm", "North Slope");
      phone.type("you", "Robin");
      REQUIRE(phone.tap("go"));
      REQUIRE(phone.last<StartFarm>());
      CHECK(phone.last<StartFarm>()->farm.us_units == us);
    }
  }
}
