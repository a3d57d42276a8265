// SPDX-License-Identifier: Apache-2.0
#include "ledger/schema.h"

#include <doctest/doctest.h>

#include "support/records.h"

TEST_SUITE("ledger") {
  TEST_CASE("record.schema.json is what the program reads") {
    CHECK(nthtree::test::file_text("src/ledger/record.schema.json") ==
          nthtree::ledger::record_schema());
  }
}
