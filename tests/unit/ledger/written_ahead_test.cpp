// SPDX-License-Identifier: Apache-2.0
#include "ledger/written_ahead.h"

#include <doctest/doctest.h>

#include "support/records.h"

using namespace nthtree::ledger;
using nthtree::test::monday_ms;
using nthtree::test::phone_a;
using nthtree::test::phone_b;
using nthtree::test::record_of;
using nthtree::test::tag;

namespace {

constexpr int day = 24 * 60;  // minutes
constexpr DeviceKey office{0xcccc, 3};

// Two phones that count on Monday and Tuesday.
std::vector<Record> two_phones() {
  return {record_of(phone_a, 1, 0, tag(1, 5, 200), "p1"),
          record_of(phone_b, 1, 30, tag(9, 5, 210), "p2"),
          record_of(phone_a, 2, day, tag(2, 5, 190), "p1"),
          record_of(phone_b, 2, day + 30, tag(10, 5, 205), "p2")};
}

std::int64_t at(int minute) { return monday_ms + minute * 60000LL; }

}  // namespace

TEST_SUITE("ledger") {
  TEST_CASE("the present of files is their last stamp") {
    CHECK(present_of({}) == 0);
    CHECK(present_of(two_phones()) == at(day + 30));
    CHECK(written_ahead(two_phones(), at(day + 30)).empty());
  }

  TEST_CASE("one phone stamped 45 days ahead took the whole season's present with it") {
    auto records = two_phones();
    records.push_back(record_of(phone_b, 3, 46 * day, tag(11, 5, 400), "p2"));
    records.push_back(record_of(phone_b, 4, 46 * day + 1, tag(11, 9, 400), "p2"));
    const std::int64_t present = present_of(records);
    CHECK(present == at(day + 30));
    const auto ahead = written_ahead(records, present);
    REQUIRE(ahead.size() == 1);
    CHECK(ahead[0].device == phone_b);
    CHECK(ahead[0].author == "p2");
    CHECK(ahead[0].records == 2);
    CHECK(ahead[0].days_past(present) == 44);
    Season season;
    season.apply_all(records);
    const auto in_season = written_ahead(season, present);
    REQUIRE(in_season.size() == 1);
    CHECK(in_season[0].first_ms == at(46 * day));  // its first, though the last is found first
    CHECK(written_ahead(season, at(46 * day)).empty());  // its time has come
  }

  TEST_CASE("two phones ahead, each by its own, are both named") {
    auto records = two_phones();
    records.push_back(record_of(phone_a, 3, 40 * day, tag(3, 5, 200), "p1"));
    records.push_back(record_of(phone_b, 3, 400 * day, tag(11, 5, 200), "p2"));
    CHECK(present_of(records) == at(day + 30));
    CHECK(written_ahead(records, present_of(records)).size() == 2);
  }

  TEST_CASE("a harvest entered months later by the office, and a new season, are no fault") {
    auto records = two_phones();
    records.push_back(record_of(office, 1, 220 * day, HarvestCount{"b1", {1, 5}, 118}, "boss"));
    CHECK(present_of(records) == at(220 * day));
    records.push_back(record_of(phone_a, 3, 330 * day, tag(3, 5, 200), "p1"));
    records.push_back(record_of(phone_b, 3, 330 * day + 9, tag(11, 5, 200), "p2"));
    CHECK(present_of(records) == at(330 * day + 9));
  }

  TEST_CASE("a farm of one phone has nothing to be held against") {
    const std::vector<Record> alone = {record_of(phone_a, 1, 0, tag(1, 5, 200)),
                                       record_of(phone_a, 2, 60 * day, tag(1, 9, 200))};
    CHECK(present_of(alone) == at(60 * day));
  }
}
