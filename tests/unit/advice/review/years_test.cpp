// SPDX-License-Identifier: Apache-2.0
#include "advice/review/years.h"

#include <doctest/doctest.h>

#include "base/clock.h"
#include "unit/advice/season_builder.h"

using namespace nthtree;
using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

namespace {

// Ten trees of 200 spurs (180 flowering), their fruits, and the season's end.
void year(SeasonBuilder& farm, int fruits, int closed) {
  for (int i = 0; i < 10; ++i) {
    farm.tag("lead", 1 + i, 7, 200);
    farm.add(ledger::HarvestCount{"b1", {1 + i, 7}, fruits}, "boss");
  }
  if (closed > 0) farm.add(ledger::SeasonClosed{closed}, "boss");
}

void return_bloom(SeasonBuilder& farm, int floral) {
  for (int i = 0; i < 6; ++i) {
    farm.add(ledger::ReturnBloom{"b1", {1 + i, 7}, floral, 200}, "boss");
  }
}

BlockYears years_of(const SeasonBuilder& farm) {
  return block_years(farm.season, "b1", test::monday_ms + 100 * base::day_ms);
}

}  // namespace

TEST_SUITE("advice: years") {
  TEST_CASE("each season stands with its own numbers, the one at hand last") {
    SeasonBuilder farm;
    year(farm, 100, 2025);
    year(farm, 20, 2026);
    farm.tag("lead", 3, 5, 150);
    const BlockYears years = years_of(farm);
    REQUIRE(years.seasons.size() == 3);
    CHECK(years.seasons[0].year == 2025);
    CHECK(years.seasons[0].learnt.picked_per_tree == 100);
    CHECK(years.seasons[0].learnt.set_per_spur.value == doctest::Approx(100.0 / 180));
    CHECK(years.seasons[1].learnt.picked_per_tree == 20);
    CHECK(years.seasons[1].planned == 189);  // 113 × 1.5 = 170, 170 ÷ 0.9
    CHECK_FALSE(years.seasons[2].is_closed);
    CHECK(years.seasons[2].learnt.picked_trees == 0);
    CHECK(years.seasons[2].counts == 1);
  }

  // Hoblyn, Grubb, Painter and Wates, Journal of Pomology 14:39 (1936; the formula from memory):
  // (80 ÷ 120 + 70 ÷ 110 + 60 ÷ 120) ÷ 3 = 0.6010.
  TEST_CASE("the biennial index is of fruits a tree, in the order of the years") {
    SeasonBuilder farm;
    year(farm, 100, 2023);
    year(farm, 20, 2024);
    year(farm, 90, 2025);
    year(farm, 30, 2026);
    const BlockYears years = years_of(farm);
    REQUIRE(years.bearing);
    CHECK(years.bearing->pairs == 3);
    CHECK(years.bearing->mean == doctest::Approx(0.6010).epsilon(0.0001));
    SeasonBuilder one;
    year(one, 100, 2026);
    CHECK_FALSE(years_of(one).bearing);
  }

  TEST_CASE("return bloom counted in the next season is of the season before") {
    SeasonBuilder farm;
    year(farm, 100, 2026);
    return_bloom(farm, 40);
    const BlockYears years = years_of(farm);
    CHECK(years.seasons[0].learnt.return_trees == 6);
    CHECK(years.seasons[0].learnt.return_bloom.value == doctest::Approx(0.2));
    CHECK(years.seasons[1].learnt.return_trees == 0);
    SeasonBuilder open;
    year(open, 100, 0);
    return_bloom(open, 40);
    CHECK(years_of(open).seasons[0].learnt.return_trees == 6);
  }

  TEST_CASE("a harvest of a tree that nobody counted is named, and teaches no factor") {
    SeasonBuilder farm;
    year(farm, 100, 0);
    farm.add(ledger::HarvestCount{"b1", {30, 9}, 400}, "boss");
    const Learning learnt = learn(farm.season, "b1");
    REQUIRE(learnt.never_counted.size() == 1);
    CHECK(learnt.never_counted[0] == orchard::TreeAddress{30, 9});
    CHECK(learnt.harvest_trees == 10);
    CHECK(learnt.picked_trees == 11);
    CHECK(learnt.own_insurance.value == doctest::Approx(1.8));
  }

  TEST_CASE("the mean weight is of the weighed trees, each by its fruits, as corrected last") {
    SeasonBuilder farm;
    farm.add(ledger::HarvestCount{"b1", {1, 1}, 100, 200.0}, "boss");
    farm.add(ledger::HarvestCount{"b1", {1, 2}, 300, 160.0}, "boss");
    farm.add(ledger::HarvestCount{"b1", {1, 3}, 500}, "boss");
    const Learning learnt = learn(farm.season, "b1");
    CHECK(learnt.weighed_trees == 2);
    CHECK(learnt.grams_per_fruit == doctest::Approx(170));
  }

  TEST_CASE("next winter's factor is proposed with its reasons, and none where nothing was picked") {
    SeasonBuilder farm;
    CHECK_FALSE(next_target(farm.season, "b1").known);
    year(farm, 60, 0);  // 180 ÷ 60: three flowering spurs a fruit
    return_bloom(farm, 40);
    const NextTarget next = next_target(farm.season, "b1");
    REQUIRE(next.known);
    CHECK(next.insurance_now == 1.5);
    CHECK(next.insurance_next > 2.4);
    CHECK(next.insurance_next < 3.0);
    CHECK(next.leave_now == 189);
    CHECK(next.leave_in_hindsight > 300);
    REQUIRE(next.reasons.size() == 3);
    CHECK(next.reasons[0].id == "learn_ok");
    CHECK(next.reasons[1].id == "next_set_less");
    CHECK(next.reasons[1].number("percent") == doctest::Approx(100.0 / 3));
    CHECK(next.reasons[2].id == "next_off_year");
  }
}
