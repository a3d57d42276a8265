// SPDX-License-Identifier: Apache-2.0
#include <doctest/doctest.h>

#include <cmath>

#include "simulation/coverage_designs.h"

using namespace nthtree::simulation;

TEST_SUITE("coverage") {
  TEST_CASE("every claimed interval covers near its nominal share") {
    // The full program claims one point at 20,000 runs. Here a standard error is 0.5 points; over
    // some 90 rows a margin of one and a half points more than the claim is five of them.
    const int runs = 2000;
    int claimed = 0;
    double off = 0;
    for (const CoverageRow& row : measure_coverage(runs, 1918)) {
      if (!row.claimed) continue;
      ++claimed;
      off += row.achieved - row.nominal;
      CHECK_MESSAGE(row.within(2.5), row.method << ", " << row.design << ", n " << row.n << ": "
                                                << 100 * row.achieved);
    }
    CHECK(claimed >= 80);
    CHECK(std::fabs(off / claimed) < 0.005);
  }

  TEST_CASE("what the claimed intervals replace is measurably worse") {
    for (const CoverageRow& row : measure_coverage(2000, 1919)) {
      if (row.method == "  trials pooled, Wilson") CHECK(row.achieved < 0.85);
    }
  }

  TEST_CASE("the claimed proportion lies between the two intervals it stands between") {
    // Row by row on the same draws: wider than Wilson's, narrower than the plain logit's.
    const auto rows = measure_coverage(200, 1920);
    int compared = 0;
    for (std::size_t i = 0; i + 3 < rows.size(); ++i) {
      if (rows[i].method != "cluster proportion" || rows[i + 2].method != "  logit and t") continue;
      REQUIRE(rows[i + 3].method == "  Wilson and t");
      CHECK(rows[i].achieved <= rows[i + 2].achieved);
      CHECK(rows[i].achieved >= rows[i + 3].achieved);
      ++compared;
    }
    CHECK(compared == 32);
  }

  TEST_CASE("the same seed gives the same table") {
    const auto a = measure_coverage(100, 7), b = measure_coverage(100, 7);
    REQUIRE(a.size() == b.size());
    for (std::size_t i = 0; i < a.size(); ++i) {
      CHECK(a[i].achieved == b[i].achieved);
      CHECK(a[i].width == b[i].width);
    }
  }
}
