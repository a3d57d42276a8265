// SPDX-License-Identifier: Apache-2.0
// RFC 4180 (Y. Shafranovich, 2005), section 2.
#include "base/csv.h"

#include <doctest/doctest.h>

#include "base/text.h"

using namespace nthtree::base;

TEST_SUITE("base: csv") {
  TEST_CASE("cells with commas, quotes or line breaks stand in quotes, lines end with CRLF") {
    CHECK(csv_line({"aaa", "b \r\nbb", "c,c", "d\"d", ""}) ==
          "aaa,\"b \r\nbb\",\"c,c\",\"d\"\"d\",\r\n");
  }

  TEST_CASE("what was written is read back, with a byte order mark and with bare line breaks") {
    const CsvRow row = {"zzz", "y\"y,y", "", "x\nx"};
    const auto rows = read_csv(std::string(byte_order_mark) + csv_line(row) + "a,b\n", 10);
    REQUIRE(rows.ok());
    CHECK(rows->front() == row);
    CHECK(rows->back() == CsvRow{"a", "b"});
  }

  TEST_CASE("a quote that is never closed names its line") {
    const auto rows = read_csv("a,b\n\"c", 10);
    REQUIRE_FALSE(rows.ok());
    CHECK(rows.error().where == "line 2");
  }

  TEST_CASE("a text that would run as a formula is guarded, and comes back as it was") {
    for (const char* text : {"=1+1", "@x", "-2", "+3", "'quoted", "plain"}) {
      CHECK(unguarded(guarded(text)) == text);
    }
    CHECK(guarded("=1+1") == "'=1+1");
  }
}
