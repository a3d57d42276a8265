// SPDX-License-Identifier: Apache-2.0
#include "advice/worksheet/standing_sheet.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

namespace {

SeasonBuilder two_pruners() {
  SeasonBuilder farm;
  farm.tags("p1", {200, 250, 220, 270, 240, 260}).tags("p2", {180, 190, 210, 170, 200}, 4);
  farm.check("lead", 1, 5, 210).check("lead", 4, 15, 200);
  return farm;
}

}  // namespace

TEST_SUITE("advice: worksheet") {
  TEST_CASE("a block without a count has a sheet without pruners") {
    SeasonBuilder farm;
    CHECK(standing_sheet(farm.season, "b1", farm.now_ms()).pruners.empty());
    CHECK(standing_sheet(farm.season, "b9", farm.now_ms()).pruners.empty());
  }

  TEST_CASE("the spread and its degrees of freedom are sums of the sheet's parts") {
    const SeasonBuilder farm = two_pruners();
    const StandingSheet sheet = standing_sheet(farm.season, "b1", farm.now_ms());
    const BlockSpread& block = sheet.spread;
    double squares = block.prior_df * block.prior_cv * block.prior_cv + block.elsewhere.squares +
                     block.unpruned.squares;
    double df = block.prior_df + block.elsewhere.df + block.unpruned.df;
    for (const SpreadPart& part : block.people) squares += part.squares, df += part.df;
    CHECK(block.people.size() == 2);
    CHECK(block.df == doctest::Approx(df));
    CHECK(block.variance == doctest::Approx(squares / df));
    for (const PrunerSheet& pruner : sheet.pruners) {
      const PrunerSpread& own = pruner.spread;
      double of_days = 0;
      for (const DaySpread& day : own.days) {
        const double mean = day.share_sum / day.n;
        CHECK(day.squares == doctest::Approx(day.share_square_sum / (mean * mean) - day.n));
        of_days += day.squares;
      }
      CHECK(own.squares == doctest::Approx(of_days));
      CHECK(own.variance == doctest::Approx((own.block_weight * block.variance + own.squares) /
                                            (own.block_weight + own.df)));
      CHECK(pruner.row.standing.tree_df == doctest::Approx(own.total_df));
    }
  }

  TEST_CASE("the crew's mean comes out of the others' levels") {
    const SeasonBuilder farm = two_pruners();
    const StandingSheet sheet = standing_sheet(farm.season, "b1", farm.now_ms());
    for (const PrunerSheet& pruner : sheet.pruners) {
      const CrewTerms& crew = pruner.crew;
      REQUIRE(crew.others.size() == 1);
      CHECK(crew.others[0].person != pruner.row.person);
      double precision = 1 / crew.prior_variance, sum = crew.prior_mean / crew.prior_variance;
      for (const CrewMate& mate : crew.others) {
        precision += 1 / (crew.between_before + mate.variance);
        sum += mate.mean / (crew.between_before + mate.variance);
      }
      CHECK(crew.mean == doctest::Approx(sum / precision));
      CHECK(pruner.row.standing.prior.mean == doctest::Approx(crew.mean));
      CHECK(pruner.prior_variance == doctest::Approx(crew.between + 1 / precision));
    }
  }

  TEST_CASE("a and b of a verdict's lines come out of their terms") {
    const SeasonBuilder farm = two_pruners();
    for (const PrunerSheet& pruner : standing_sheet(farm.season, "b1", farm.now_ms()).pruners) {
      for (const SideCheck* side : {&pruner.check.harder, &pruner.check.lighter}) {
        const BoundaryTerms& terms = side->terms;
        CHECK(terms.step ==
              doctest::Approx((side->far - side->near) / std::sqrt(pruner.check.count_variance)));
        const double overshoot = terms.overshoot * std::min(terms.step, terms.step_most);
        CHECK(side->b == doctest::Approx(std::log(1 / (terms.kept_for_line * terms.alpha)) -
                                         overshoot + terms.more_b.of(terms.step)));
        CHECK(side->a == doctest::Approx(std::log((1 - terms.alpha) / terms.beta) - overshoot +
                                         terms.more_a.of(terms.step) + terms.kept_back_a));
      }
    }
  }
}
