// SPDX-License-Identifier: Apache-2.0
#include "advice/known/double_sample.h"

#include <doctest/doctest.h>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("tags and some re-counts give the mean by ratio and by regression") {
    SeasonBuilder farm;
    farm.tags("p1", {200, 180, 220, 210, 190, 240, 205, 195});
    CHECK_FALSE(double_sample(farm.season, *farm.season.block("b1")).known);
    // Trees 5, 15, 25, 35 of row 1 counted again, a tenth more found each time.
    farm.check("lead", 1, 5, 220).check("lead", 1, 15, 198).check("lead", 1, 25, 242);
    farm.check("lead", 1, 35, 231);
    farm.tag("lead", 2, 5, 900);  // a lead counts right: no tag to be corrected
    const DoubleSample sample = double_sample(farm.season, *farm.season.block("b1"));
    REQUIRE(sample.known);
    CHECK(sample.tagged == 8);
    CHECK(sample.recounted == 4);
    CHECK(sample.tag_sum == 1640);
    CHECK(sample.ratio.slope == doctest::Approx(891.0 / 810).epsilon(1e-12));
    CHECK(sample.ratio.mean == doctest::Approx(1.1 * 205).epsilon(1e-9));
    CHECK(sample.regression.mean == doctest::Approx(1.1 * 205).epsilon(1e-9));
    // Exactly proportional: any re-count dearer than one tag is worth it (Cochran 1977, ch. 12).
    CHECK(sample.pays_above == doctest::Approx(1).epsilon(1e-6));
  }
}
