// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/unpruned.h"

#include <doctest/doctest.h>

#include "advice/internal/current.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("unpruned trees have a mean with a t interval; one tree has a wide one") {
    SeasonBuilder farm;
    CHECK(unpruned_trees(*farm.season.block("b1"), always).trees == 0);
    farm.add(nthtree::ledger::BeforeCount{"b1", {1, 5}, 600}, "lead");
    const Unpruned one = unpruned_trees(*farm.season.block("b1"), always);
    CHECK(one.spurs.value == 600);
    CHECK(one.spurs.low < 400);
    CHECK(one.spurs.high > 900);
    farm.add(nthtree::ledger::BeforeCount{"b1", {9, 5}, 500}, "lead");
    farm.add(nthtree::ledger::BeforeCount{"b1", {17, 5}, 550}, "lead");
    const Unpruned three = unpruned_trees(*farm.season.block("b1"), always);
    CHECK(three.spurs.value == doctest::Approx(550));
    // t.95 with 2 df = 2.91998558 (tables; from memory): 550 ± 2.92 × 50 / √3
    CHECK(three.spurs.high == doctest::Approx(550 + 2.91998558 * 50 / 1.7320508).epsilon(1e-6));
  }
}
