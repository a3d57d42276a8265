// SPDX-License-Identifier: Apache-2.0
#include "orchard/station_file.h"

#include <doctest/doctest.h>

#include "support/days.h"

using namespace nthtree;
using namespace nthtree::orchard;
using nthtree::test::day;

namespace {

StationTable table_of(const char* text) {
  const auto table = read_station_table(text);
  REQUIRE_MESSAGE(table.ok(), (table.ok() ? "" : table.error().text()));
  return *table;
}

StationDays read(const char* text, StationAnswers answers = {}) {
  const StationTable table = table_of(text);
  if (!answers.columns.told()) {
    answers.columns = likely_columns(table);
    answers.columns.place = -1;
  }
  return read_station_days(table, answers);
}

constexpr const char* in_fahrenheit =
    "STATION,NAME,DATE,TMAX,TMIN\n"
    "X1,\"Mill Road, NY\",2026-03-01,50,30\n"
    "X1,\"Mill Road, NY\",2026-03-02,55,35\n";

}  // namespace

TEST_SUITE("orchard: station file") {
  TEST_CASE("columns stand in any order, and are told by their heads until somebody says better") {
    const StationTable table = table_of(in_fahrenheit);
    const StationColumns columns = likely_columns(table);
    CHECK(columns.day == 2);
    CHECK(columns.high == 3);
    CHECK(columns.low == 4);
    const StationDays days = read(in_fahrenheit, {.columns = columns,
                                                  .unit = DegreeUnit::fahrenheit});
    REQUIRE(days.complete());
    CHECK(days.days.at(day("2026-03-01")).low == doctest::Approx(-1.1111).epsilon(1e-4));
    CHECK(days.days.at(day("2026-03-02")).high == doctest::Approx(12.7778).epsilon(1e-4));
  }

  TEST_CASE("Celsius or Fahrenheit is never guessed, and both ends stand to be judged by") {
    const StationDays days = read(in_fahrenheit);
    CHECK(days.asks_unit);
    CHECK(days.days.empty());
    CHECK(days.coldest == 30);
    CHECK(days.warmest == 55);
  }

  TEST_CASE("Fahrenheit read as Celsius: what no orchard reaches is named by its line") {
    const char* summer = "date,min,max\n2026-07-01,61,88\n2026-07-02,40,55\n";
    const StationDays days = read(summer, {.unit = DegreeUnit::celsius});
    REQUIRE(days.lines_impossible.size() == 1);
    CHECK(days.lines_impossible[0] == 2);
    CHECK(days.days.size() == 1);
  }

  TEST_CASE("3/4/2026 is asked about, unless some day can be read one way only") {
    const StationColumns columns{0, 1, 2};
    const auto with = [&](const char* text, std::optional<DateForm> form) {
      return read(text, {.columns = columns, .unit = DegreeUnit::celsius, .date_form = form});
    };
    const char* either = "d,min,max\n3/4/2026,1,2\n4/4/2026,1,2\n";
    CHECK(with(either, std::nullopt).asks_date_form);
    CHECK(with(either, DateForm::day_first).days.begin()->first == day("2026-04-03"));
    CHECK(with(either, DateForm::month_first).days.begin()->first == day("2026-03-04"));
    const StationDays one_way = with("d,min,max\n3/4/2026,1,2\n3/14/2026,1,2\n", std::nullopt);
    CHECK_FALSE(one_way.asks_date_form);
    CHECK(one_way.days.rbegin()->first == day("2026-03-14"));
    CHECK(with("d,min,max\n20260304,1,2\n20260305,1,2\n", std::nullopt).days.size() == 2);
  }

  TEST_CASE("a day that stands twice with other values is asked about; the same values are one") {
    const char* text = "date,min,max\n2026-03-01,1,9\n2026-03-01,2,9\n2026-03-02,0,5\n"
                       "2026-03-02,0,5\n";
    const StationDays open = read(text, {.unit = DegreeUnit::celsius});
    CHECK(open.asks_same_day);
    CHECK(open.days.empty());
    REQUIRE(open.doubled.size() == 1);
    const auto answered = [&](SameDay answer) {
      return read(text, {.unit = DegreeUnit::celsius, .same_day = answer});
    };
    CHECK(answered(SameDay::first).days.at(day("2026-03-01")).low == 1);
    CHECK(answered(SameDay::last).days.at(day("2026-03-01")).low == 2);
    CHECK(answered(SameDay::leave_out).days.size() == 1);
  }

  TEST_CASE("a station that moved, or several in one file: which of them is asked") {
    const char* text = "site,date,min,max\nYard,2026-03-01,1,9\nHill,2026-03-02,2,9\n";
    StationAnswers answers{.columns = {1, 2, 3, 0}, .unit = DegreeUnit::celsius};
    const StationDays open = read(text, answers);
    REQUIRE(open.places == std::vector<std::string>{"Hill", "Yard"});
    CHECK(open.days.empty());
    answers.place = "Yard";
    const StationDays yard = read(text, answers);
    REQUIRE(yard.days.size() == 1);
    CHECK(yard.days.begin()->first == day("2026-03-01"));
  }

  TEST_CASE("gaps, empty cells and lows above highs are said, and what is between them stands") {
    const char* text = "date;min;max\n2026-03-01;-1,5;9\n2026-03-02;;8\n2026-03-03;9;1\n"
                       "2026-03-06;0;5\n";
    const StationDays days = read(text, {.unit = DegreeUnit::celsius});
    CHECK(days.days.at(day("2026-03-01")).low == -1.5);
    CHECK(days.lines_unread == std::vector<int>{3});
    CHECK(days.lines_upside_down == std::vector<int>{4});
    REQUIRE(days.gaps.size() == 1);
    CHECK(days.gaps[0].first == day("2026-03-02"));
    CHECK(days.gaps[0].last == day("2026-03-05"));
  }

  TEST_CASE("text that is no table is refused, whatever it is") {
    for (const char* text : {"", "hello", "a,b\nc,d\n", "\"open,a,b\n", "date,min,max\n"}) {
      CHECK_FALSE(read_station_table(text).ok());
    }
  }
}
