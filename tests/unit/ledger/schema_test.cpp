// SPDX-License-Identifier: Apache-2.0
#include "ledger/schema.h"

#include <doctest/doctest.h>

#include "ledger/kinds.h"
#include "support/records.h"

TEST_SUITE("ledger") {
  TEST_CASE("record.schema.json is what the program reads") {
    CHECK(nthtree::test::file_text("src/ledger/record.schema.json") ==
          nthtree::ledger::record_schema());
  }

  TEST_CASE("FORMAT.md names every kind") {
    const std::string page = nthtree::test::file_text("src/ledger/FORMAT.md");
    const std::string line = page.substr(page.find("kind     ="), 500);
    for (const auto name : nthtree::ledger::kind_names) {
      CHECK_MESSAGE(line.find(name) != std::string::npos, name);
    }
  }
}
