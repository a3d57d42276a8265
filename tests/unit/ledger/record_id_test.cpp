// SPDX-License-Identifier: Apache-2.0
#include "ledger/record_id.h"

#include <doctest/doctest.h>

using namespace nthtree::ledger;

TEST_SUITE("ledger") {
  TEST_CASE("ids are read as they are written, and nothing else is an id") {
    const RecordId id{{0x0123456789abcdef, 0xfedcba9876543210}, 999999999999999};
    CHECK(id.text() == "0123456789abcdeffedcba9876543210-999999999999999");
    CHECK(parse_record_id(id.text()) == id);
    for (const char* bad : {"", "-1", "0123456789abcdeffedcba9876543210",
                            "0123456789abcdeffedcba9876543210-",
                            "0123456789abcdeffedcba9876543210-1000000000000000",
                            "0123456789abcdeffedcba987654321g-1"}) {
      CHECK_MESSAGE(!parse_record_id(bad), bad);
    }
  }
}
