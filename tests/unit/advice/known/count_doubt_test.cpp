// SPDX-License-Identifier: Apache-2.0
#include "advice/known/count_doubt.h"

#include <doctest/doctest.h>

using namespace nthtree::advice;
using Why = CountDoubt::Why;

TEST_SUITE("advice") {
  TEST_CASE("a count of nothing is asked about, with the number that was to be expected") {
    CHECK(count_doubt(0, {}, 0).why == Why::nothing);
    CHECK(count_doubt(0, {}, 254).why == Why::far_from_target);
    CHECK(count_doubt(0, {}, 254).usual == 254);
    CHECK(count_doubt(0, {240, 250, 260}, 254).why == Why::far_from_own);
    CHECK(count_doubt(0, {240, 250, 260}, 254).usual == 250);
  }

  TEST_CASE("a digit typed once too often is asked about") {
    const CountDoubt doubt = count_doubt(1400, {138, 151, 144}, 146);
    CHECK(doubt.why == Why::far_from_own);
    CHECK(doubt.usual == 144);
    CHECK(count_doubt(1400, {}, 146).why == Why::far_from_target);
    CHECK(count_doubt(14, {}, 146).why == Why::far_from_target);
  }

  TEST_CASE("three times off is asked about, a little less is not") {
    CHECK(count_doubt(300, {}, 100).why == Why::far_from_target);
    CHECK(count_doubt(299, {}, 100).why == Why::none);
    CHECK(count_doubt(33, {}, 100).why == Why::far_from_target);
    CHECK(count_doubt(34, {}, 100).why == Why::none);
    CHECK(count_doubt(500, {}, 0).why == Why::none);
  }

  TEST_CASE("of two earlier counts nothing is concluded, and one slip among them misleads nobody") {
    CHECK(count_doubt(150, {900, 900}, 146).why == Why::none);
    CHECK(count_doubt(150, {140, 1400, 151, 144}, 146).why == Why::none);
    const CountDoubt own = count_doubt(150, {900, 910, 905}, 146);
    CHECK(own.why == Why::far_from_own);
    CHECK(own.usual == 905);
  }

  TEST_CASE("only the latest counts are the level") {
    std::vector<int> earlier(50, 600);
    for (int i = 0; i < 9; ++i) earlier.push_back(150);
    CHECK(count_doubt(160, earlier, 0).why == Why::none);
  }
}
