// SPDX-License-Identifier: Apache-2.0
#include "base/result.h"

#include <doctest/doctest.h>

#include <memory>

using namespace nthtree::base;

TEST_SUITE("base") {
  TEST_CASE("a result holds a value or an error, never both") {
    const Result<int> good = 7;
    CHECK(good.ok());
    CHECK(*good == 7);
    const Result<int> bad = Error{"out_of_range", "is too large", "spurs"};
    CHECK_FALSE(bad);
    CHECK(bad.error().text() == "spurs: is too large (out_of_range)");
  }

  TEST_CASE("an error without a place has no empty prefix") {
    CHECK(Error{"not_json", "cannot be read", ""}.text() == "cannot be read (not_json)");
  }

  TEST_CASE("a value that can only be moved can be taken out") {
    Result<std::unique_ptr<int>> result = std::make_unique<int>(3);
    const std::unique_ptr<int> taken = std::move(result).value();
    CHECK(*taken == 3);
  }
}
