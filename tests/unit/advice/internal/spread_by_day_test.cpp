// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/spread_by_day.h"

#include <doctest/doctest.h>

#include <cmath>

#include "advice/internal/context.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

namespace {

std::vector<double> spreads(const SeasonBuilder& farm, const std::string& person) {
  const auto now = farm.now_ms();
  const BlockContext context =
      make_context(farm.season, *farm.season.block("b1"), now, cut_for(farm.season, now));
  return context.spread_by_day().in_runs(person, context.here->people.at(person));
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("a count's spread on a chart is the one known that morning, whatever is counted later") {
    SeasonBuilder farm;
    farm.tags("p1", {180, 200, 190, 210}, 1).next_day().tags("p1", {170, 230, 190}, 20);
    const auto before = spreads(farm, "p1");
    REQUIRE(before.size() == 7);
    // Nobody had counted anything on the first morning: the prior's 29 %.
    CHECK(before[0] == doctest::Approx(prior_spread_cv));
    farm.tags("p2", {40, 400, 90, 700}, 40).next_day().tags("p1", {150}, 60);
    const auto after = spreads(farm, "p1");
    REQUIRE(after.size() == 8);
    for (std::size_t i = 0; i < before.size(); ++i) {
      CHECK(after[i] == doctest::Approx(before[i]).epsilon(1e-12));
    }
    CHECK(after[7] > after[6]);  // what p2 met is known now
  }

  TEST_CASE("counts of one row say less than as many apart once rows are known to differ") {
    const auto last_spread = [](bool rows_differ, bool one_row) {
      SeasonBuilder farm;
      for (int row = 1; row <= 8; ++row) {
        for (int tree = 1; tree <= 6; ++tree) {
          const int off = (tree % 2 ? 12 : -12) + (rows_differ ? (row % 2 ? 40 : -40) : 0);
          farm.tag("p2", row, 10 * tree, 190 + off);
        }
      }
      farm.next_day();
      for (int i = 0; i < 6; ++i) farm.tag("p1", one_row ? 20 : 20 + i, 10 + i, 190);
      return spreads(farm, "p1").back();
    };
    CHECK(last_spread(true, true) > 1.5 * last_spread(true, false));
    CHECK(last_spread(false, true) == doctest::Approx(last_spread(false, false)));
  }

  TEST_CASE("counts of one day say less than as many apart once a night lies between two days") {
    SeasonBuilder farm;
    for (int i = 0; i < 6; ++i) farm.tag("p1", 2 * i + 1, 10, 190);
    CHECK(spreads(farm, "p1").back() == doctest::Approx(prior_spread_cv));
    farm.next_day();
    for (int i = 0; i < 6; ++i) farm.tag("p1", 2 * i + 2, 10, 190);
    // Six equal trees leave half of the prior's squares, and as many degrees of freedom again as
    // one's own. A night moves all of a day by 6 %; with two days, half of that is in the level.
    const double trees = 10 * (5 * prior_spread_cv * prior_spread_cv / 10) / 15;
    CHECK(std::pow(spreads(farm, "p1").back(), 2) ==
          doctest::Approx(trees + 5 * 0.5 * 0.06 * 0.06));
  }

  TEST_CASE("a lead's re-count left the pruner's own chart with another spread") {
    SeasonBuilder farm;
    farm.tags("p1", {180, 200, 190, 210}, 1).next_day().tags("p1", {170, 230, 190}, 20);
    const auto before = spreads(farm, "p1");
    farm.check("lead", 1, 5, 300);
    CHECK(spreads(farm, "p1") == before);
  }
}
