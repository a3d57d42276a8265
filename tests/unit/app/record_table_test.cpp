// SPDX-License-Identifier: Apache-2.0
#include "app/record_table.h"

#include <doctest/doctest.h>

using namespace nthtree;

namespace {

ledger::Record read(const char* body, const char* kind = "note_of_2031") {
  const std::string bytes = std::string(R"({"v":1,"id":"8147e4f6b34806227b2baac4428da276-1",)") +
      R"("at_ms":1769014800000,"tick":0,"clock_ms":1769014800000,"author":"=Ana, \"A\"","kind":")" +
      kind + R"(","body":)" + body + "}";
  auto record = ledger::read_record(bytes);
  CHECK(record.ok());
  return record ? record.value() : ledger::Record{};
}

}  // namespace

TEST_SUITE("shell") {
  // RFC 4180: lines end with CRLF, cells with commas or quotes are quoted, quotes are doubled.
  TEST_CASE("records of any kind become rows, with quotes where RFC 4180 wants them") {
    const std::string table = app::record_table(
        {read(R"({"a":{"b":1.5},"list":[1,2],"text":"x,y"})"), read(R"({"text":"=1+1"})")});
    const std::string first = table.substr(0, table.find("\r\n"));
    CHECK(first == "id,at,author,kind,replaces,a.b,list,text");
    CHECK(table.find("2026-01-21T17:00") != std::string::npos);
    CHECK(table.find("\"'=Ana, \"\"A\"\"\"") != std::string::npos);
    CHECK(table.find(",1.5,1 2,\"x,y\"\r\n") != std::string::npos);
  }

  TEST_CASE("a cell that a spreadsheet would run as a formula is made harmless") {
    const std::string table = app::record_table({read(R"x({"text":"=HYPERLINK(1)"})x")});
    CHECK(table.find(",'=HYPERLINK(1)\r\n") != std::string::npos);
  }

  TEST_CASE("no records give the head alone") {
    CHECK(app::record_table({}) == "id,at,author,kind,replaces\r\n");
  }
}
