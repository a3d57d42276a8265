// SPDX-License-Identifier: Apache-2.0
#include "ledger/season.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>

#include "base/random.h"
#include "base/text.h"
#include "support/records.h"

using namespace nthtree::ledger;
using namespace nthtree::test;

namespace {

Season season_of(const std::vector<Record>& records) {
  Season season;
  for (const Record& record : records) season.apply(record);
  return season;
}

VarietySettings variety(const std::string& name, std::optional<double> insurance) {
  VarietySettings settings;
  settings.variety.name = name;
  settings.variety.insurance_factor = insurance;
  return settings;
}

// Settings, counts, corrections of corrections, a withdrawal, a move to another block, an unknown
// kind: everything the fold has to put in order.
std::vector<Record> a_day() {
  std::vector<Record> r;
  FarmSettings farm;
  farm.name = "Two Creeks";
  r.push_back(record_of(phone_a, 1, 0, farm));
  r.push_back(record_of(phone_a, 2, 1, block_settings("b1")));
  r.push_back(record_of(phone_b, 1, 2, block_settings("b2")));
  r.push_back(record_of(phone_a, 3, 10, tag(1, 10, 150)));
  r.push_back(record_of(phone_a, 4, 11, tag(1, 10, 160), "p1", r[3].id));
  r.push_back(record_of(phone_b, 2, 12, tag(1, 10, 170), "p2", r[4].id));
  r.push_back(record_of(phone_b, 3, 20, tag(1, 20, 900)));
  r.push_back(record_of(phone_b, 4, 21, Withdrawal{"not our tree"}, "p2", r[6].id));
  r.push_back(record_of(phone_a, 5, 30, tag(2, 5, 140, "b1")));
  r.push_back(record_of(phone_a, 6, 31, tag(2, 5, 140, "b2"), "p1", r[8].id));
  r.push_back(record_of(phone_b, 5, 32, Advice{"b1", "p1", Direction::harder, 12}, "lead"));
  r.push_back(record_of(phone_a, 7, 40, CheckCount{"b1", {1, 10}, 175, 0}, "lead"));
  r.push_back(record_of(phone_a, 101, 41, variety("Gala", 1.6)));
  r.push_back(record_of(phone_b, 102, 42, variety("GALA", 1.9)));
  return r;
}

}  // namespace

TEST_SUITE("ledger") {
  TEST_CASE("a record applied twice changes nothing") {
    const auto records = a_day();
    Season once = season_of(records);
    const auto before = once.fingerprint();
    for (const Record& record : records) CHECK_FALSE(once.apply(record));
    CHECK(once.fingerprint() == before);
    CHECK(once.records() == records.size());
  }

  TEST_CASE("a season made anew of as many records looked like the one before it") {
    const auto records = a_day();
    Season season = season_of(records);
    const std::uint64_t before = season.revision();
    season.begin_anew();
    CHECK(season.records() == 0);
    CHECK(season.fingerprint() == Season().fingerprint());
    CHECK(season.revision() > before);
    season.apply_all(records);
    CHECK(season.fingerprint() == season_of(records).fingerprint());
    CHECK(season.revision() > before);
  }

  TEST_CASE("the farm's latest word on a variety stands, however its name is typed") {
    const Season season = season_of(a_day());
    REQUIRE(season.varieties().size() == 1);
    REQUIRE(season.variety_changes().size() == 1);
    CHECK(season.variety_changes()[0].insurance_factor == 1.9);
    auto records = a_day();
    records.push_back(record_of(phone_b, 103, 43, variety("Gala", std::nullopt)));
    CHECK(season_of(records).variety_changes()[0].empty());
    CHECK(season_of(records).fingerprint() != season.fingerprint());
  }

  TEST_CASE("the settings in force are the latest of every farm, block, person and variety") {
    auto records = a_day();
    records.push_back(record_of(phone_a, 8, 50, PersonSettings{{"p1", "Ana"}}));
    records.push_back(record_of(phone_a, 9, 45, PersonSettings{{"p1", "Anna"}}));
    records.push_back(record_of(phone_a, 10, 46, block_settings("b1")));
    const auto ids = season_of(records).settings_in_force();
    const std::set<RecordId> found(ids.begin(), ids.end());
    const std::set<RecordId> expected = {{phone_a, 1}, {phone_a, 8}, {phone_a, 10}, {phone_b, 1},
                                         {phone_b, 102}};
    CHECK(found == expected);
    CHECK(ids.size() == found.size());
  }

  TEST_CASE("an older correction that arrives late brings no count back that was taken out since") {
    const Record count = record_of(phone_a, 1, 10, tag(1, 10, 150));
    const Record out = record_of(phone_a, 2, 40, Withdrawal{"wrong tree"}, "p1", count.id);
    const Record late = record_of(phone_b, 1, 30, tag(1, 10, 160), "p2", count.id);
    const Season season = season_of({count, out, late});
    REQUIRE(season.block("b1")->tag_counts.size() == 1);
    CHECK(season.block("b1")->tag_counts[0].withdrawn);
    CHECK(season.fingerprint() == season_of({count, late, out}).fingerprint());
  }

  TEST_CASE("every order of arrival gives the same season") {
    auto records = a_day();
    const std::string expected = season_of(records).fingerprint();
    nthtree::base::Random random(7);
    for (int round = 0; round < 500; ++round) {
      for (std::size_t i = records.size(); i > 1; --i) {
        std::swap(records[i - 1], records[random.below(i)]);
      }
      CHECK(season_of(records).fingerprint() == expected);
    }
  }

  TEST_CASE("many at once, in any order, come to the same season as one by one") {
    auto records = a_day();
    const std::string expected = season_of(records).fingerprint();
    std::reverse(records.begin(), records.end());
    Season season;
    season.apply_all(records);
    season.apply_all(records);
    CHECK(season.fingerprint() == expected);
  }

  TEST_CASE("many phones' counts, phone by phone, come to the same season as by the clock") {
    nthtree::base::Random random(8);
    std::vector<Record> records;
    for (std::uint64_t phone = 1; phone <= 33; ++phone) {
      int minute = static_cast<int>(random.below(50));
      for (std::uint64_t s = 1; s <= 60; ++s) {
        minute += static_cast<int>(random.below(5));
        TagCount count = tag(1 + static_cast<int>(s), 1, 100 + static_cast<int>(phone));
        count.block = "b" + std::to_string(random.below(7));
        records.push_back(record_of({3, phone}, s, minute, count));
      }
    }
    Season by_phone;
    by_phone.apply_all(records);
    std::stable_sort(records.begin(), records.end(), [](const Record& a, const Record& b) {
      return a.position() < b.position();
    });
    CHECK(season_of(records).fingerprint() == by_phone.fingerprint());
    for (const auto& [id, block] : by_phone.blocks()) {
      CHECK(std::is_sorted(block.tag_counts.begin(), block.tag_counts.end(),
                           [](const auto& a, const auto& b) { return a.position < b.position; }));
    }
  }

  TEST_CASE("a copy of a season takes records without its original, and so does one moved") {
    Season first = season_of(a_day());
    const std::string before = first.fingerprint();
    Season copy = first;
    Season assigned;
    assigned = first;
    const auto more = record_of(phone_a, 900, 500, tag(9, 9, 90));
    for (Season* season : {&copy, &assigned}) CHECK(season->apply(more));
    CHECK(first.fingerprint() == before);
    CHECK(copy.fingerprint() != before);
    CHECK(assigned.fingerprint() == copy.fingerprint());
    Season moved = std::move(first);
    first = Season();
    CHECK(first.apply(more));
    CHECK(moved.fingerprint() == before);
    CHECK(moved.apply(more));
    CHECK(moved.fingerprint() == copy.fingerprint());
    CHECK(first.records() == 1);
  }

  TEST_CASE("a part one by one, the rest at once, a correction before what it corrects") {
    auto records = a_day();
    const std::string expected = season_of(records).fingerprint();
    nthtree::base::Random random(8);
    for (int round = 0; round < 200; ++round) {
      for (std::size_t i = records.size(); i > 1; --i) {
        std::swap(records[i - 1], records[random.below(i)]);
      }
      const auto part = records.begin() + static_cast<std::ptrdiff_t>(random.below(records.size()));
      Season season;
      for (auto record = records.begin(); record != part; ++record) season.apply(*record);
      season.apply_all({part, records.end()});
      CHECK(season.fingerprint() == expected);
      CHECK(season.records() == records.size());
    }
  }

  TEST_CASE("a correction of a correction counts once, at the time of the first") {
    const Season season = season_of(a_day());
    const BlockSeason* block = season.block("b1");
    REQUIRE(block);
    REQUIRE(block->tag_counts.size() == 2);
    const auto& count = block->tag_counts[0];
    CHECK(count.body.spurs == 170);
    CHECK(count.corrected);
    CHECK(count.author == "p1");
    CHECK(count.at_ms() == monday_ms + 10 * 60000);
  }

  TEST_CASE("a withdrawn record stays visible as withdrawn") {
    const Season season = season_of(a_day());
    const auto& counts = season.block("b1")->tag_counts;
    REQUIRE(counts.size() == 2);
    CHECK(counts[1].withdrawn);
  }

  TEST_CASE("a count corrected into another block moves there") {
    const Season season = season_of(a_day());
    const BlockSeason* block = season.block("b2");
    REQUIRE(block);
    REQUIRE(block->tag_counts.size() == 1);
    CHECK(block->tag_counts[0].at_ms() == monday_ms + 30 * 60000);
  }

  TEST_CASE("a withdrawal later corrected again brings the record back") {
    auto records = a_day();
    records.push_back(record_of(phone_b, 6, 50, tag(1, 20, 190), "p2", records[6].id));
    const Season season = season_of(records);
    CHECK_FALSE(season.block("b1")->tag_counts[1].withdrawn);
    CHECK(season.block("b1")->tag_counts[1].body.spurs == 190);
  }

  TEST_CASE("of two settings the later one wins, whichever came first") {
    auto newer = block_settings("b1");
    newer.block.stride = 25;
    const Record old_record = record_of(phone_a, 1, 0, block_settings("b1"));
    const Record new_record = record_of(phone_b, 1, 5, newer);
    CHECK(season_of({old_record, new_record}).block("b1")->block->stride == 25);
    CHECK(season_of({new_record, old_record}).block("b1")->block->stride == 25);
  }

  TEST_CASE("counts may arrive before their block's settings") {
    const Season season = season_of({record_of(phone_a, 1, 0, tag(1, 1, 150))});
    REQUIRE(season.block("b1"));
    CHECK_FALSE(season.block("b1")->block.has_value());
    CHECK(season.block("b1")->tag_counts.size() == 1);
  }

  TEST_CASE("only the touched block's change log grows") {
    Season season = season_of(a_day());
    const auto b1 = season.block("b1")->changes.revision(), b2 = season.block("b2")->changes.revision();
    season.apply(record_of(phone_a, 8, 60, tag(3, 3, 150, "b2")));
    CHECK(season.block("b1")->changes.revision() == b1);
    CHECK(season.block("b2")->changes.revision() > b2);
  }

  TEST_CASE("the first count after a season was opened moved all that were there before") {
    Season season;
    std::vector<Record> records = {record_of(phone_a, 1, 0, block_settings("b1"))};
    for (int i = 0; i < 1000; ++i) {
      records.push_back(record_of(phone_a, 2 + i, 10 + i, tag(1, 1 + i % 40, 150)));
    }
    season.apply_all(records);
    const auto& counts = season.block("b1")->tag_counts;
    const auto* stands_at = counts.data();
    for (int i = 0; i < 20; ++i) {
      season.apply(record_of(phone_a, 1002 + i, 2000 + i, tag(1, 1 + i, 150)));
    }
    CHECK(counts.size() == 1020);
    CHECK(counts.data() == stands_at);
    CHECK(counts.capacity() < 1100);  // and a phone's memory is not filled with room
  }

  TEST_CASE("a record that replaces itself, a circle, and a change of kind do no harm") {
    Season season;
    season.apply(record_of(phone_a, 1, 0, tag(1, 1, 1), "p1", RecordId{phone_a, 1}));
    season.apply(record_of(phone_a, 2, 0, tag(1, 1, 2), "p1", RecordId{phone_a, 3}));
    season.apply(record_of(phone_a, 3, 0, tag(1, 1, 3), "p1", RecordId{phone_a, 2}));
    CHECK(season.blocks().empty());
    const Record count = record_of(phone_a, 4, 1, tag(1, 1, 150));
    season.apply(count);
    season.apply(record_of(phone_a, 5, 2, BeforeCount{"b1", {1, 1}, 9}, "p1", count.id));
    CHECK(season.block("b1")->tag_counts[0].body.spurs == 150);
    CHECK(season.block("b1")->before_counts.empty());
  }

  TEST_CASE("a chain of ten thousand corrections, last first, is folded") {
    std::vector<Record> chain = {record_of(phone_a, 1, 0, tag(1, 1, 0))};
    for (int i = 1; i <= 10000; ++i) {
      chain.push_back(record_of(phone_a, i + 1, i, tag(1, 1, i % 500), "p1", chain.back().id));
    }
    std::reverse(chain.begin(), chain.end());
    const Season season = season_of(chain);
    REQUIRE(season.block("b1")->tag_counts.size() == 1);
    CHECK(season.block("b1")->tag_counts[0].body.spurs == 0);
    CHECK(season.block("b1")->tag_counts[0].corrected);
  }

  TEST_CASE("a season that crosses the change of clocks had its days cut an hour off") {
    FarmSettings farm;
    farm.name = "West";
    farm.utc_offset_minutes = -480;
    const auto day_at = [&](const char* utc) {
      std::int64_t at_ms = 0;
      REQUIRE(nthtree::base::parse_iso(utc, at_ms));
      return season_of({record_of(phone_a, 1, 0, farm)}).day_of(at_ms);
    };
    // Half past eleven on an evening of January, and of July: with one offset July's was tomorrow.
    const std::int64_t january = day_at("2026-01-15T07:30"), july = day_at("2026-07-15T06:30");
    CHECK(day_at("2026-01-15T08:00") == january + 1);
    farm.time_zone = "<-08>8<-07>,M3.2.0,M11.1.0";
    CHECK(day_at("2026-01-15T07:59") == january);
    CHECK(day_at("2026-01-15T08:00") == january + 1);
    CHECK(day_at("2026-07-15T06:59") == july);
    CHECK(day_at("2026-07-15T07:00") == july + 1);
    farm.time_zone = "as the moon has it";  // of a later app: the offset stands in for it
    CHECK(day_at("2026-07-15T07:00") == july);
  }

  TEST_CASE("a day begins at midnight on the farm") {
    FarmSettings farm;
    farm.name = "West";
    farm.utc_offset_minutes = -480;
    const Season season = season_of({record_of(phone_a, 1, 0, farm)});
    CHECK(season.day_of(monday_ms) + 1 == season.day_of(monday_ms + 8 * 3600000LL));
    CHECK(season.day_of(-1) == -1);
  }

  TEST_CASE("who had changed a setting, and what stood before, could not be seen") {
  FarmSettings first, second;
  first.name = "Two Creeks";
  second.name = "Three Creeks";
  const Season season = season_of({record_of(phone_a, 2, 9, second, "m2"),
                                   record_of(phone_a, 1, 0, first, "m1"),
                                   record_of(phone_b, 1, 5, block_settings("b1"), "m1")});
  const auto history = season.settings_history();
  REQUIRE(history.size() == 3);
  CHECK(history[0].author == "m2");
  CHECK(history[0].in_force);
  REQUIRE(history[0].before);
  CHECK(std::get<FarmSettings>(*history[0].before).name == "Two Creeks");
  CHECK(std::get<FarmSettings>(*history[0].now).name == "Three Creeks");
  CHECK(std::holds_alternative<BlockSettings>(*history[1].now));
  CHECK_FALSE(history[2].before);
  CHECK_FALSE(history[2].in_force);
  }

  TEST_CASE("withdrawn settings give back those of before, in every order") {
  FarmSettings first, second;
  first.name = "Two Creeks";
  second.name = "mine";
  auto grown = block_settings("b1");
  grown.block.rows = 99;
  std::vector<Record> records = {
      record_of(phone_a, 1, 0, first),
      record_of(phone_a, 2, 1, block_settings("b1")),
      record_of(phone_b, 1, 5, second),
      record_of(phone_b, 2, 6, grown),
      record_of(phone_b, 3, 7, block_settings("b2")),
  };
  for (std::size_t i = 2; i < 5; ++i) {
    records.push_back(record_of(phone_a, i + 1, 20, Withdrawal{"not ours"}, "p1", records[i].id));
  }
  nthtree::base::Random random(3);
  std::set<std::string> seen;
  for (int round = 0; round < 60; ++round) {
    for (std::size_t k = records.size(); k > 1; --k) {
      std::swap(records[k - 1], records[random.below(k)]);
    }
    const Season season = season_of(records);
    CHECK(season.farm().name == "Two Creeks");
    CHECK(season.block("b1")->block->rows == 40);
    CHECK_FALSE(season.block("b2")->block);
    CHECK(season.settings_in_force().size() == 2);
    CHECK(season.settings_history().size() == 2);
    seen.insert(season.fingerprint());
  }
  CHECK(seen.size() == 1);
}

TEST_CASE("an unknown kind is counted and changes nothing else") {
    Season season;
    const auto record = read_record(
        R"({"v":1,"id":"000000000000aaaa0000000000000001-1","at_ms":1,"tick":0,"clock_ms":1,)"
        R"("kind":"sap_flow","body":{}})");
    REQUIRE(record.ok());
    CHECK(season.apply(*record));
    CHECK(season.unknown_records() == 1);
    CHECK(season.blocks().empty());
  }
}
