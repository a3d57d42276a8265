// SPDX-License-Identifier: Apache-2.0
#include "stats/interval.h"

#include <doctest/doctest.h>

#include <limits>
#include <vector>

using namespace nthtree::stats;

TEST_SUITE("stats") {
  TEST_CASE("an interval holds its ends and knows another inside it") {
    const Interval band{162, 198};
    CHECK(band.holds(162));
    CHECK(band.holds(198));
    CHECK_FALSE(band.holds(198.001));
    CHECK(band.holds(Interval{165, 190}));
    CHECK_FALSE(band.holds(Interval{150, 190}));
    CHECK(band.half_width() == 18);
  }

  TEST_CASE("argument errors name the argument and what is allowed") {
    const std::vector<double> values = {1, std::numeric_limits<double>::quiet_NaN()};
    const auto few = check_values(values, "counts", 3);
    REQUIRE(few);
    CHECK(few->text() ==
          "counts: counts holds 2 values; at least 3 are needed. (too_few_values)");
    const auto bad = check_values(values, "counts", 2);
    REQUIRE(bad);
    CHECK(bad->text() == "counts: counts[1] is not a finite number. (not_finite)");
    const auto low = check_counts(std::vector<double>{-1, 2}, "counts", 2);
    REQUIRE(low);
    CHECK(low->text() == "counts: counts is -1; allowed is zero or more. (out_of_range)");
  }

  TEST_CASE("confidence must lie strictly between 0 and 1") {
    CHECK_FALSE(check_confidence(0.95));
    for (double bad : {0.0, 1.0, -0.1, 1.5, std::numeric_limits<double>::quiet_NaN()}) {
      CHECK(check_confidence(bad));
    }
  }
}
