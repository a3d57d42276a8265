// SPDX-License-Identifier: Apache-2.0
#include "orchard/bud_stages.h"

#include <doctest/doctest.h>

using namespace nthtree::orchard;

TEST_SUITE("orchard: bud stages") {
  // UMass Extension, Healthy Fruit, 2018 and 2019: green tip of McIntosh at about 100 to 120
  // degree-days above 43 °F. Cornell University, Scaffolds Fruit Journal, 20 March 1995: green tip
  // seen at 24 to 161, pink at 267 to 316, petal fall at 439 to 523.
  TEST_CASE("green tip lies in the published range, and bloom between pink and petal fall") {
    REQUIRE(bud_stages().size() == 2);
    const BudStage &tip = bud_stages()[0], &bloom = bud_stages()[1];
    CHECK(tip.bbch == 53);
    CHECK(tip.sum_low_f >= 24);
    CHECK(tip.sum_high_f <= 161);
    CHECK(tip.sum_low_f == 100);
    CHECK(tip.sum_high_f == 120);
    CHECK(bloom.bbch == 65);
    CHECK(bloom.sum_low_f == 316);
    CHECK(bloom.sum_high_f == 439);
  }
}
