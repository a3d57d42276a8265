// SPDX-License-Identifier: Apache-2.0
#include "stats/allocation.h"

#include <doctest/doctest.h>

#include <cmath>

using namespace nthtree::stats;

namespace {

const ShareCosts ten_minutes{.budget = 610, .unit = 50, .part = 15, .whole = 305, .look = 5};
const ShareSpread trees{.between = 0.0625, .parts = 0.2025, .parts_in_unit = 20};

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("ten minutes go further over limbs than over two whole trees") {
    const auto share = share_out(ten_minutes, trees);
    REQUIRE(share.ok());
    CHECK(share->cost <= 610);
    CHECK(share->variance < 0.01999);  // six trees of three limbs, worked by hand
    CHECK(share->looks == 0);
  }

  TEST_CASE("an eye that sees half of the spread is given looks, a poor one adds nothing") {
    ShareSpread eye = trees;
    eye.correlation = 0.75;
    const auto good = share_out(ten_minutes, eye);
    CHECK(good->looks > good->units);
    CHECK(good->variance < 0.0162);  // four trees of five limbs and twenty looks
    eye.correlation = 0.2;
    const double poor = share_out(ten_minutes, eye)->variance;
    const double none = share_out(ten_minutes, trees)->variance;
    CHECK(poor <= none);
    CHECK(poor > 0.98 * none);
  }

  TEST_CASE("no share of the grid beats the one given") {
    ShareSpread eye = trees;
    eye.correlation = 0.6;
    const auto best = share_out(ten_minutes, eye);
    for (int units = 1; units < 12; ++units) {
      for (int parts = 1; parts < 20; ++parts) {
        const double cost = units * (50.0 + 15 * parts);
        const int looks = static_cast<int>((610 - cost) / 5);
        if (cost > 610 || looks < units) continue;
        CHECK(variance_of({units, parts, looks, cost, 0}, eye) >= best->variance - 1e-12);
      }
    }
  }

  TEST_CASE("the continuous optimum lies beside the one in whole numbers") {
    const double parts = *parts_at_optimum(0.0625 - 0.2025 / 20, 0.2025, 50, 15);
    const auto share = share_out({.budget = 6000, .unit = 50, .part = 15, .whole = 305}, trees);
    CHECK(std::fabs(share->parts - parts) <= 1);
    CHECK(std::fabs(share->units - *units_of_budget(6000, share->parts, 50, 15)) < 1);
  }

  TEST_CASE("a budget too small for the fewest units says what those cost") {
    const auto share = share_out({.budget = 60, .unit = 50, .part = 15, .whole = 305}, trees, 3);
    REQUIRE(share.ok());
    CHECK(share->units == 3);
    CHECK(share->parts == 1);
    CHECK(share->cost == doctest::Approx(195));
  }

  TEST_CASE("whole units are taken where parts are as dear") {
    const auto share = share_out({.budget = 610, .unit = 250, .part = 50, .whole = 305}, trees);
    CHECK(share->parts == 20);
    CHECK(share->units == 2);
  }

  TEST_CASE("what cannot be is refused with the argument's name") {
    CHECK(share_out({}, trees).error().where == "budget");
    CHECK(share_out(ten_minutes, {.between = 0.06, .parts = 0.2, .parts_in_unit = 0})
              .error().where == "parts_in_unit");
    CHECK(share_out(ten_minutes, {.between = 0.06, .correlation = 1}).error().where ==
          "correlation");
    CHECK(share_out(ten_minutes, trees, 0).error().where == "at_least");
    CHECK(parts_at_optimum(0, 1, 1, 1).error().where == "between");
  }
}
