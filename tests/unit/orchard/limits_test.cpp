// SPDX-License-Identifier: Apache-2.0
#include "orchard/limits.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

using namespace nthtree::orchard;

TEST_SUITE("orchard") {
  TEST_CASE("a number at either end of its range may stand, one past it may not") {
    const Range range{0.5, 20};
    CHECK_FALSE(refuse_outside(0.5, range, "row_spacing_m"));
    CHECK_FALSE(refuse_outside(20, range, "row_spacing_m"));
    CHECK(refuse_outside(std::nextafter(0.5, 0.0), range, "row_spacing_m"));
    CHECK(refuse_outside(std::nextafter(20.0, 21.0), range, "row_spacing_m"));
  }

  TEST_CASE("a refusal names the field, the value and what is allowed") {
    const auto refused = refuse_outside(0, {0.5, 20}, "row_spacing_m");
    CHECK(refused.has_value());
    if (!refused) return;
    CHECK(refused->text() ==
          "row_spacing_m: 0 is out of range: 0.5 to 20 is allowed (out_of_range)");
  }

  TEST_CASE("what is not a number is refused by name") {
    for (const double bad : {std::nan(""), std::numeric_limits<double>::infinity(),
                             -std::numeric_limits<double>::infinity()}) {
      const auto refused = refuse_outside(bad, {0, 1}, "floral_fraction");
      CHECK(refused.has_value());
      if (!refused) return;
      CHECK(refused->id == "not_a_number");
      CHECK(refused->where == "floral_fraction");
    }
  }
}
