// SPDX-License-Identifier: Apache-2.0
#include "advice/known/agreement.h"

#include <doctest/doctest.h>

#include <cmath>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("two pairs give no limits of agreement, three do") {
    CHECK_FALSE(agreement_of({}).known);
    CHECK_FALSE(agreement_of({{200, 220}, {180, 200}}).known);
    const CountAgreement three = agreement_of({{200, 220}, {180, 190}, {150, 171}});
    CHECK(three.known);
    CHECK(three.low < three.ratio);
    CHECK(three.ratio < three.high);
  }

  TEST_CASE("limits are of the ratio, 1.96 standard deviations of its logarithm either way") {
    const std::vector<CountedTwice> pairs = {{200, 220}, {180, 190}, {150, 171}, {240, 250},
                                             {90, 99}, {0, 2}};
    const CountAgreement found = agreement_of(pairs);
    double sum = 0, squares = 0;
    for (const CountedTwice& pair : pairs) sum += pair.log_ratio();
    const double mean = sum / 6;
    for (const CountedTwice& pair : pairs) squares += std::pow(pair.log_ratio() - mean, 2);
    const double sd = std::sqrt(squares / 5);
    CHECK(found.ratio == doctest::Approx(std::exp(mean)));
    CHECK(found.low == doctest::Approx(std::exp(mean - 1.959963984540054 * sd)));
    CHECK(found.high == doctest::Approx(std::exp(mean + 1.959963984540054 * sd)));
  }

  TEST_CASE("each person has limits of their own, and the lead's tags none") {
    SeasonBuilder farm;
    farm.tags("p1", {200, 180, 220}).tags("p2", {200, 180, 220}, 3);
    for (int tree : {5, 15, 25}) farm.check("lead", 1, tree, 200 + tree);
    const CountAgreements all = count_agreements(farm.season, farm.now_ms());
    CHECK(all.people.count("p1") == 1);
    CHECK(all.people.count("p2") == 0);
    CHECK(all.people.count("lead") == 0);
    CHECK(all.crew.pairs == 3);
    CHECK(all.crew.known);
  }
}
