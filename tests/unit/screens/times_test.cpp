// SPDX-License-Identifier: Apache-2.0
#include <doctest/doctest.h>

#include "screens/news.h"
#include "unit/screens/phone.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;
using stage::Phone;

Session with_file(const char* text) {
  Session session = stage::at(ScreenId::temperatures, "m1", "b1");
  session.station.text = text;
  return session;
}

constexpr const char* one_way = "Date,Max,Min\n2026-01-01,50,30\n2026-01-02,55,35\n";

const ledger::Temperatures* kept(Phone& phone) {
  const SaveRecords* save = phone.last<SaveRecords>();
  return save && !save->bodies.empty() ? std::get_if<ledger::Temperatures>(&save->bodies[0])
                                       : nullptr;
}

}  // namespace

TEST_SUITE("screens: when to prune") {
  TEST_CASE("each block says when and why, and green tip ahead is offered to the manager alone") {
    Phone manager(stage::at(ScreenId::when_to_prune, "m1", "b1"), stage::warm_farm());
    CHECK(manager.shows("Local advice and what is seen"));
    CHECK(manager.shows("are missing"));
    CHECK(manager.shows("Green tip ahead"));
    // Days are missing: a window is told, and no day to take over.
    CHECK_FALSE(manager.shows("Expect green tip on"));
    CHECK(Phone(stage::at(ScreenId::when_to_prune, "m1", "b1"), stage::farm())
              .shows("No temperatures since"));
  }

  TEST_CASE("green tip noted in an earlier spring is told by block, and what cannot be right is asked") {
    Phone phone(stage::at(ScreenId::when_to_prune, "m1", "b1"), stage::noted_farm(),
                {.width = 390, .height = 4000});
    CHECK(phone.shows("degree-days of this station, from 1 spring"));
    CHECK(phone.shows("from 1 spring of other blocks: nobody noted green tip here yet"));
    CHECK(phone.shows("Was it that day?"));
  }

  TEST_CASE("the expected green tip is taken over with one tap, and nothing else of the block") {
    ledger::Season season = stage::farm();
    std::vector<int> lows(45, 17), highs(45, 128);  // 35 and 55 °F
    stage::add(season, ledger::Temperatures{"Yard", "2026-01-01", lows, highs}, "m1",
               stage::thursday_ms() - 60000);
    Phone lead(stage::at(ScreenId::when_to_prune, "l1", "b1"), season);
    CHECK_FALSE(lead.tap("take/b1"));
    Phone manager(stage::at(ScreenId::when_to_prune, "m1", "b1"), season);
    REQUIRE(manager.tap("take/b1"));
    const auto& body = manager.last<SaveRecords>()->bodies[0];
    const auto* settings = std::get_if<ledger::BlockSettings>(&body);
    REQUIRE(settings);
    // 4.247 degree-days a day by sine: 110 on the 26th day of January.
    CHECK(settings->block.green_tip_date == "2026-01-26");
    auto as_before = *season.block("b1")->block;
    as_before.green_tip_date = settings->block.green_tip_date;
    CHECK(settings->block == as_before);
  }

  TEST_CASE("a file's degrees are asked before a day is kept, and the columns are remembered") {
    Phone phone(with_file(one_way), stage::farm());
    CHECK(phone.shows("The file goes from 30.0 to 55.0 degrees"));
    phone.tap("keep");
    CHECK_FALSE(kept(phone));
    REQUIRE(phone.tap("station/unit/1"));
    REQUIRE(phone.tap("keep"));
    REQUIRE(kept(phone));
    CHECK(kept(phone)->first_day == "2026-01-01");
    CHECK(kept(phone)->low_tenths_c == std::vector<int>{-11, 17});
    CHECK(phone.session.station.text.empty());
    CHECK(phone.session.station.columns.size() == 1);
    Session again = stage::at(ScreenId::temperatures, "m1", "b1");
    REQUIRE(read_memory(again, write_memory(phone.session)));
    CHECK(again.station.columns == phone.session.station.columns);
  }

  TEST_CASE("a file put away leaves nothing behind, and no table is said to be none") {
    Phone phone(with_file("hello"), stage::farm());
    CHECK(phone.shows("This is no table"));
    CHECK_FALSE(phone.shows("(file)"));
    CHECK(Phone(with_file("day,low,high\n2026-01-01,\"1,2\n"), stage::farm())
              .shows("Line 2 of the file cannot be read"));
    REQUIRE(phone.tap("away"));
    CHECK(phone.session.station.text.empty());
    CHECK(phone.shows("Read a station"));
  }

  TEST_CASE("another station's name is asked about, and one tap keeps the place") {
    Phone phone(with_file(one_way), stage::warm_farm());
    REQUIRE(phone.tap("station/unit/1"));
    REQUIRE(phone.type("station/name", "Hill"));
    CHECK(phone.shows("Another place than Mill Road"));
    REQUIRE(phone.tap("moved/action"));
    CHECK_FALSE(phone.shows("Another place than"));
    CHECK(phone.shows("were held with other values"));
  }

  TEST_CASE("of two stations each shows its own days, and a block is told which is its own") {
    Phone days(stage::at(ScreenId::temperatures, "m1", "b1"), stage::two_stations_farm());
    CHECK(days.shows("2 Jan 2026"));
    REQUIRE(days.tap("temperatures/station/2/1"));
    CHECK_FALSE(days.shows("Another place than"));
    REQUIRE(days.type("temperatures/low", "30"));
    REQUIRE(days.type("temperatures/high", "50"));
    REQUIRE(days.tap("keep"));
    REQUIRE(kept(days));
    CHECK(kept(days)->station == "Mill Road");

    Session session = stage::at(ScreenId::edit_block, "m1", "b1");
    session.stack.back().block = "b1";
    Phone block(session, stage::two_stations_farm(), {.width = 390, .height = 4000});
    REQUIRE(block.tap("block/b1/station/3/2"));
    REQUIRE(block.tap("keep"));
    REQUIRE(block.last<SaveRecords>());
    const auto& said = block.last<SaveRecords>()->bodies.front();
    CHECK(std::get<ledger::BlockSettings>(said).block.station == "Mill Road");
    CHECK_FALSE(Phone(session, stage::warm_farm(), {.width = 390, .height = 4000})
                    .shows("Weather station"));
  }

  TEST_CASE("a typed day is kept in the farm's own degrees, and the next day stands there") {
    Phone phone(stage::at(ScreenId::temperatures, "l1", "b1"), stage::farm());
    REQUIRE(phone.type("temperatures/day", "2026-02-01"));
    REQUIRE(phone.type("temperatures/low", "41"));
    REQUIRE(phone.type("temperatures/high", "30"));
    CHECK(phone.shows("The lowest is above the highest"));
    phone.tap("keep");
    CHECK_FALSE(kept(phone));
    REQUIRE(phone.type("temperatures/high", "50"));
    REQUIRE(phone.tap("keep"));
    REQUIRE(kept(phone));
    CHECK(kept(phone)->low_tenths_c == std::vector<int>{50});
    CHECK(kept(phone)->high_tenths_c == std::vector<int>{100});
    CHECK(phone.session.fields.at("temperatures/day") == "2026-02-02");
    // The next day's empty fields cried "missing" after a mistake that was put right.
    CHECK_FALSE(phone.session.fields_tried);
    CHECK_FALSE(phone.session.fields.count("temperatures/low"));
  }
}
