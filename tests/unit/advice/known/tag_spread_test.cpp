// SPDX-License-Identifier: Apache-2.0
#include "advice/known/tag_spread.h"

#include <doctest/doctest.h>

#include <cmath>

#include "base/random.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::base::Random;
using nthtree::test::SeasonBuilder;

namespace {

std::vector<int> drawn(Random& random, int n, double mean, double k) {
  std::vector<int> counts;
  for (int i = 0; i < n; ++i) {
    counts.push_back(static_cast<int>(random.negative_binomial(mean, k)));
  }
  return counts;
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("no count, one count and two bare trees have an answer, and no number that is none") {
    SeasonBuilder farm;
    CHECK(tag_spread(farm.season, "b1", farm.now_ms()).counts == 0);
    CHECK(tag_spread(farm.season, "nowhere", farm.now_ms()).counts == 0);
    farm.tag("p1", 1, 3, 150);
    const TagSpread one = tag_spread(farm.season, "b1", farm.now_ms());
    CHECK(one.counts == 1);
    CHECK(one.shape == SpreadShape::not_known);
    CHECK_FALSE(one.kuno.known);
    SeasonBuilder bare;
    bare.tag("p1", 1, 3, 0).tag("p1", 1, 9, 0);
    const TagSpread none = tag_spread(bare.season, "b1", bare.now_ms());
    CHECK(none.mean == 0);
    CHECK_FALSE(none.green.known);
  }

  TEST_CASE("negative binomial counts: k, the fit told, and the shape named") {
    Random random(11);
    SeasonBuilder farm;
    for (int row = 1; row <= 20; ++row) farm.tags("p1", drawn(random, 8, 150, 6), row);
    const TagSpread spread = tag_spread(farm.season, "b1", farm.now_ms());
    REQUIRE(spread.counts == 160);
    CHECK(spread.k > 4);
    CHECK(spread.k < 9);
    CHECK(spread.nb_df > 10);
    CHECK(spread.nb_p > 0.05);
    CHECK(spread.shape == SpreadShape::negative_binomial);
    CHECK(spread.k_moments ==
          doctest::Approx(spread.mean * spread.mean / (spread.sd * spread.sd - spread.mean)));
  }

  TEST_CASE("two kinds of trees fit neither shape, and that is told") {
    Random random(12);
    SeasonBuilder farm;
    for (int row = 1; row <= 20; ++row) {
      farm.tags("p1", drawn(random, 8, row % 2 ? 60 : 260, 200), row);
    }
    const TagSpread spread = tag_spread(farm.season, "b1", farm.now_ms());
    CHECK(spread.nb_p < 0.001);
    CHECK(spread.ln_p < 0.001);
  }

  TEST_CASE("fewer than twenty counts cannot tell how well a shape fits") {
    Random random(13);
    SeasonBuilder farm;
    farm.tags("p1", drawn(random, 8, 150, 6));
    const TagSpread spread = tag_spread(farm.season, "b1", farm.now_ms());
    CHECK(spread.ln_df == 0);
    CHECK(spread.ln_p == 1);
  }

  TEST_CASE("neighbours alike make the successive error smaller than the random one") {
    SeasonBuilder farm;
    std::vector<int> slope;
    for (int i = 0; i < 8; ++i) slope.push_back(100 + 15 * i);
    farm.tags("p1", slope);
    const TagSpread spread = tag_spread(farm.season, "b1", farm.now_ms());
    CHECK(spread.se_successive < 0.5 * spread.se_random);
    CHECK(spread.successive_squares == doctest::Approx(7 * 225));
    CHECK(spread.correction == doctest::Approx(1 - 8 / 3600.0));
  }

  TEST_CASE("the stop lines stop at their own number of trees, and Kuno's follows k alone") {
    Random random(14);
    SeasonBuilder farm;
    farm.tags("p1", drawn(random, 8, 150, 10));
    const TagSpread few = tag_spread(farm.season, "b1", farm.now_ms(), 0.05);
    REQUIRE(few.kuno.known);
    CHECK_FALSE(few.green.known);  // one day of one person gives no law
    CHECK_FALSE(few.kuno.reached);
    CHECK(few.kuno.second == doctest::Approx(1 + 1 / few.k));
    const double d = few.precision;
    CHECK(few.kuno.trees_needed == doctest::Approx((1 / few.mean + 1 / few.k) / (d * d)));
    for (int row = 2; row <= 30; ++row) farm.tags("p1", drawn(random, 8, 150, 10), row);
    const TagSpread many = tag_spread(farm.season, "b1", farm.now_ms(), 0.05);
    CHECK(many.kuno.reached);
    // Where the total lies on the line, the trees counted are the trees needed.
    CHECK((many.total >= many.kuno.total_needed) == many.kuno.reached);
  }

  TEST_CASE("days of unlike means give both laws, and a withdrawn or repeated tag counts once") {
    Random random(15);
    SeasonBuilder farm;
    for (int day = 0; day < 6; ++day) {
      farm.tags("p" + std::to_string(day), drawn(random, 8, 60 + 50 * day, 12), day + 1);
    }
    const TagSpread before = tag_spread(farm.season, "b1", farm.now_ms());
    CHECK(before.groups == 6);
    CHECK(before.green.known);
    CHECK(before.green.second > 0.5);
    farm.tag("p0", 1, 5, 77);  // the same tree again: its last tag stands
    const TagSpread after = tag_spread(farm.season, "b1", farm.now_ms());
    CHECK(after.counts == before.counts);
    CHECK(after.total != before.total);
  }
}
