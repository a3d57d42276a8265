// SPDX-License-Identifier: Apache-2.0
#include "orchard/row_list.h"

#include <doctest/doctest.h>

using namespace nthtree::orchard;

TEST_SUITE("orchard") {
  TEST_CASE("rows are read as they are said, and said as they are read") {
    const auto rows = parse_row_list("12-14, 20;3 18 – 17", 60);
    REQUIRE(rows.ok());
    CHECK(*rows == std::vector<int>{3, 12, 13, 14, 17, 18, 20});
    CHECK(row_list_text(*rows) == "3, 12–14, 17–18, 20");
    CHECK(*parse_row_list(row_list_text(*rows), 60) == *rows);
    CHECK(parse_row_list(" , ", 60)->empty());
    CHECK(row_list_text({}).empty());
  }

  TEST_CASE("a row named twice is one row") {
    CHECK(*parse_row_list("4, 3-5", 60) == std::vector<int>{3, 4, 5});
  }

  TEST_CASE("what is no row says what could not be read, and which rows there are") {
    for (const char* text : {"twelve", "4-", "-4", "4--6", "3,x"}) {
      const auto rows = parse_row_list(text, 60);
      REQUIRE_FALSE(rows.ok());
      CHECK(rows.error().id == "bad_row_list");
    }
    for (const char* text : {"0", "61", "58-61", "99999999999999999999"}) {
      const auto rows = parse_row_list(text, 60);
      REQUIRE_FALSE(rows.ok());
      CHECK(rows.error().id == "out_of_range");
    }
    CHECK(parse_row_list("58-61", 60).error().where == "61");
  }
}
