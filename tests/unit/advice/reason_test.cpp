// SPDX-License-Identifier: Apache-2.0
#include "advice/reason.h"

#include <doctest/doctest.h>

using nthtree::advice::Reason;

TEST_SUITE("advice") {
  TEST_CASE("a reason gives its numbers by name, and nothing for a name it has not") {
    const Reason reason{"harder_sure", {{"spurs", 42}, {"counts", 3}}};
    CHECK(reason.number("spurs") == 42);
    CHECK(reason.number("counts") == 3);
    CHECK(reason.number("Spurs") == 0);
    CHECK(reason.number("") == 0);
  }
}
