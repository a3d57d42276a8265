// SPDX-License-Identifier: Apache-2.0
#include "advice/known/level_steps.h"

#include <doctest/doctest.h>

#include <cmath>

#include "advice/judged/standing.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::ledger::Direction;
using nthtree::test::SeasonBuilder;
using Kind = LevelStep::Kind;

namespace {

// What is known at the end of the steps, as ln(level) and its variance.
std::pair<double, double> end_of(const std::vector<LevelStep>& steps) {
  const LevelStep& last = steps.back();
  if (last.kind != Kind::day) return {last.mean_after, last.variance_after};
  return {std::log(last.mean_after), last.variance_after};
}

void check_against_standing(const SeasonBuilder& farm, const std::string& person) {
  const auto steps = level_steps(farm.season, "b1", person, farm.now_ms());
  REQUIRE_FALSE(steps.empty());
  const Standing standing = standing_of(farm.season, "b1", person, farm.now_ms());
  const auto [mean, variance] = end_of(steps);
  // The steps go by the mean of both ways to count, the verdict by the likelier.
  const Counter counter = counting_bias(farm.season, farm.now_ms()).of(person);
  const double likelier = counter.log_ratio.usual.mean - counter.log_mean;
  CHECK(mean + standing.unchecked_share * likelier ==
        doctest::Approx(standing.own.mean).epsilon(1e-12));
  const double outside = standing.target_log_sd * standing.target_log_sd +
                         standing.bias_log_sd * standing.bias_log_sd;
  CHECK(variance + outside == doctest::Approx(standing.own.sd * standing.own.sd).epsilon(1e-9));
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("nobody's level has no steps") {
    SeasonBuilder farm;
    CHECK(level_steps(farm.season, "b1", "p1", farm.now_ms()).empty());
    CHECK(level_steps(farm.season, "nowhere", "p1", farm.now_ms()).empty());
  }

  TEST_CASE("one day from nothing is the plain mean") {
    SeasonBuilder farm;
    farm.tags("lead", {180, 200, 220, 150});
    const auto steps = level_steps(farm.season, "b1", "lead", farm.now_ms());
    REQUIRE(steps.size() == 1);
    CHECK(steps[0].flat);
    CHECK(steps[0].n == 4);
    CHECK(steps[0].tags == 750);
    CHECK(steps[0].mean_after == doctest::Approx(750 / 4.0 / 189));  // 170 ÷ 0.9 = 189
    CHECK(steps[0].variance_after == doctest::Approx(steps[0].variance_of_one / 4));
    check_against_standing(farm, "lead");
  }

  TEST_CASE("days, re-counts, advice and another block end where the standing stands") {
    SeasonBuilder farm;
    auto other = nthtree::test::block_settings("b2");
    farm.block(other).tags("p1", {210, 190, 240, 205}, 1, "b2").next_day();
    farm.tags("p1", {220, 240, 210, 260}).check("lead", 1, 5, 240).check("lead", 1, 15, 250);
    farm.next_day().tags("p1", {230, 250, 215}, 3).minutes(5);
    farm.advice("p1", Direction::harder, 40).minutes(5).tags("p1", {190, 180, 200}, 5);
    const auto steps = level_steps(farm.season, "b1", "p1", farm.now_ms());
    REQUIRE(steps.size() == 5);
    CHECK(steps[0].kind == Kind::start);
    CHECK(steps[1].kind == Kind::day);
    CHECK(steps[1].checks == 490);
    CHECK(steps[1].tags == 470);
    CHECK(steps[2].night_variance > 0);
    CHECK(steps[3].kind == Kind::advised);
    CHECK(steps[3].told_spurs == 40);
    CHECK(steps[3].told_log < 0);
    CHECK(steps[4].n == 3);
    for (const LevelStep& step : steps) {
      if (step.kind != Kind::day) continue;
      // Precision weighted: as the pencil has it.
      const double before = 1 / step.variance_before, now = step.n / step.variance_of_one;
      CHECK(step.mean_after == doctest::Approx((step.mean_before * before +
                                                step.mean_share * now) / (before + now)));
      CHECK(step.variance_after == doctest::Approx(1 / (before + now)));
    }
    check_against_standing(farm, "p1");
  }
}
