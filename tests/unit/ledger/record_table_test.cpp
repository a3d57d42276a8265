// SPDX-License-Identifier: Apache-2.0
#include "ledger/record_table.h"

#include <doctest/doctest.h>

#include "base/csv.h"
#include "base/text.h"
#include "support/records.h"

using namespace nthtree;
using namespace nthtree::test;

namespace {

ledger::Record read(const char* body, const char* kind = "note_of_2031") {
  const std::string bytes = std::string(R"({"v":1,"id":"8147e4f6b34806227b2baac4428da276-1",)") +
      R"("at_ms":1769014800000,"tick":0,"clock_ms":1769014800000,"author":"=Ana, \"A\"","kind":")" +
      kind + R"(","body":)" + body + "}";
  auto record = ledger::read_record(bytes);
  CHECK(record.ok());
  return record ? record.value() : ledger::Record{};
}

ledger::Season a_farm(int offset_minutes) {
  ledger::Season season;
  ledger::FarmSettings farm;
  farm.name = "Two Creeks";
  farm.utc_offset_minutes = offset_minutes;
  season.apply(record_of(phone_a, 1, 0, farm));
  ledger::BlockSettings block = block_settings("b1");
  block.block.name = "Lower, by the creek";
  season.apply(record_of(phone_a, 2, 1, block));
  season.apply(record_of(phone_a, 3, 2,
                         ledger::PersonSettings{{"p1", "Ana", orchard::Role::pruner, true}}));
  return season;
}

std::vector<base::CsvRow> rows_of(const std::string& table) {
  const auto rows = base::read_csv(table, 1000);
  CHECK(rows.ok());
  return rows ? *rows : std::vector<base::CsvRow>{};
}

std::string cell(const std::vector<base::CsvRow>& rows, std::size_t row, const std::string& name) {
  for (std::size_t i = 0; i < rows.front().size(); ++i) {
    if (rows.front()[i] == name) return rows[row][i];
  }
  return "no such column";
}

}  // namespace

TEST_SUITE("ledger: tables") {
  TEST_CASE("every record is a row, and a kind that is not known keeps its body whole") {
    const std::string table = ledger::record_table({read(R"({"a":{"b":1.5},"text":"x,y"})")}, base::TimeZone::fixed(-480));
    CHECK(table.substr(0, table.find("\r\n")) ==
          "id,at,at_ms,tick,clock_ms,author,kind,replaces,block,row,tree,spurs,body");
    CHECK(table.find(",2026-01-21 09:00,") != std::string::npos);
    CHECK(table.find("\"'=Ana, \"\"A\"\"\"") != std::string::npos);
    CHECK(table.find("\"{\"\"a\"\":{\"\"b\"\":1.5},\"\"text\"\":\"\"x,y\"\"}\"") !=
          std::string::npos);
  }

  TEST_CASE("a table of counts has names, the farm's time with its offset, and a mark of UTF-8") {
    ledger::Season season = a_farm(-480);
    season.apply(record_of(phone_b, 1, 60, tag(3, 14, 182), "p1"));
    season.apply(record_of(phone_b, 2, 61, ledger::CheckCount{"b1", {3, 14}, 190, 75}, "p9"));
    const std::string table = ledger::count_table(season);
    CHECK(table.substr(0, 3) == base::byte_order_mark);
    const auto rows = rows_of(table);
    REQUIRE(rows.size() == 3);
    CHECK(cell(rows, 1, "block") == "Lower, by the creek");
    CHECK(cell(rows, 1, "person") == "Ana");
    CHECK(cell(rows, 1, "count") == "tag count");
    CHECK(cell(rows, 1, "spurs") == "182");
    CHECK(cell(rows, 1, "utc_offset") == "UTC-08:00");
    const std::string local = cell(rows, 1, "date") + "T" + cell(rows, 1, "time");
    std::int64_t at_ms = 0;
    REQUIRE(base::parse_iso(local, at_ms));
    CHECK(at_ms + 480 * 60000 == season.block("b1")->tag_counts.front().at_ms() / 60000 * 60000);
    CHECK(cell(rows, 2, "count") == "check count");
    CHECK(cell(rows, 2, "seconds") == "75");
    CHECK(cell(rows, 2, "person") == "p9");  // nobody has said the name yet
  }

  // The moments: US Energy Policy Act of 2005, section 110; America/Los_Angeles of the IANA time zone
  // database 2025b, read off with Python's zoneinfo.
  TEST_CASE("times of a season that crosses a change of the clock had one offset throughout") {
    struct Moment {
      const char *utc, *date, *time, *offset;
    };
    const Moment moments[] = {
        {"2026-03-08T07:59", "2026-03-07", "23:59", "UTC-08:00"},
        {"2026-03-08T09:59", "2026-03-08", "01:59", "UTC-08:00"},
        {"2026-03-08T10:00", "2026-03-08", "03:00", "UTC-07:00"},
        {"2026-03-09T06:59", "2026-03-08", "23:59", "UTC-07:00"},
        {"2026-11-01T08:59", "2026-11-01", "01:59", "UTC-07:00"},
        {"2026-11-01T09:00", "2026-11-01", "01:00", "UTC-08:00"},
        {"2026-11-02T07:59", "2026-11-01", "23:59", "UTC-08:00"}};
    ledger::FarmSettings farm;
    farm.name = "Two Creeks";
    farm.utc_offset_minutes = -480;
    farm.time_zone = "<-08>8<-07>,M3.2.0,M11.1.0";
    ledger::Season season = a_farm(-480);
    season.apply(record_of(phone_a, 4, 3, farm));
    std::vector<ledger::Record> records;
    for (const Moment& moment : moments) {
      std::int64_t at_ms = 0;
      REQUIRE(base::parse_iso(moment.utc, at_ms));
      const auto count = tag(3, static_cast<int>(records.size()) + 1, 182);
      records.push_back(record_of(phone_b, records.size() + 1,
                                  static_cast<int>((at_ms - monday_ms) / 60000), count, "p1"));
      season.apply(records.back());
    }
    const auto rows = rows_of(ledger::count_table(season));
    const auto all = rows_of(ledger::record_table(records, season.time_zone()));
    REQUIRE(rows.size() == std::size(moments) + 1);
    REQUIRE(all.size() == std::size(moments) + 1);
    for (std::size_t i = 0; i < std::size(moments); ++i) {
      CAPTURE(moments[i].utc);
      CHECK(cell(rows, i + 1, "date") == moments[i].date);
      CHECK(cell(rows, i + 1, "time") == moments[i].time);
      CHECK(cell(rows, i + 1, "utc_offset") == moments[i].offset);
      CHECK(cell(all, i + 1, "at") == std::string(moments[i].date) + " " + moments[i].time);
    }
  }

  TEST_CASE("a corrected count stands once, as corrected; one taken back does not") {
    ledger::Season season = a_farm(0);
    const auto first = record_of(phone_b, 1, 60, tag(3, 14, 182), "p1");
    season.apply(first);
    season.apply(record_of(phone_b, 2, 61, tag(3, 14, 200), "p1", first.id));
    const auto gone = record_of(phone_b, 3, 62, tag(3, 20, 99), "p1");
    season.apply(gone);
    season.apply(record_of(phone_b, 4, 63, ledger::Withdrawal{"not our tree"}, "p1", gone.id));
    const auto rows = rows_of(ledger::count_table(season));
    REQUIRE(rows.size() == 2);
    CHECK(cell(rows, 1, "spurs") == "200");
    CHECK(cell(rows, 1, "corrected") == "yes");
    CHECK(cell(rows, 1, "record") == first.id.text());
  }

  TEST_CASE("a name that a spreadsheet would run as a formula is made harmless") {
    ledger::Season season = a_farm(0);
    season.apply(record_of(phone_a, 4, 3,
        ledger::PersonSettings{{"p1", "=HYPERLINK(1)", orchard::Role::pruner, true}}));
    season.apply(record_of(phone_b, 1, 60, tag(3, 14, 182), "p1"));
    CHECK(cell(rows_of(ledger::count_table(season)), 1, "person") == "'=HYPERLINK(1)");
  }

  TEST_CASE("an empty season gives the head alone") {
    CHECK(rows_of(ledger::count_table(ledger::Season{})).size() == 1);
    CHECK(rows_of(ledger::record_table({}, base::TimeZone::fixed(0))).size() == 1);
  }
}
