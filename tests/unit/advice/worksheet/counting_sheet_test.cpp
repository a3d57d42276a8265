// SPDX-License-Identifier: Apache-2.0
#include "advice/worksheet/counting_sheet.h"

#include <doctest/doctest.h>

#include <cmath>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice: worksheet") {
  TEST_CASE("the half that ln(re-count ÷ tag) adds was never said") {
    CHECK(CountedTwice{0, 0}.log_ratio() == doctest::Approx(0));
    CHECK(CountedTwice{200, 220}.log_ratio() == doctest::Approx(std::log(220.5 / 200.5)));
    CHECK(std::isfinite(CountedTwice{0, 7}.log_ratio()));
  }

  TEST_CASE("the crew's counting ratio comes out of the sheet's own terms") {
    SeasonBuilder farm;
    farm.tags("p1", {200, 180, 220}).tags("p2", {210, 190}, 3);
    farm.check("lead", 1, 5, 220).check("lead", 1, 15, 190).check("lead", 1, 25, 250);
    farm.check("lead", 3, 5, 214).check("lead", 3, 15, 200);
    const CountingSheet sheet = counting_sheet(farm.season, farm.now_ms());
    REQUIRE(sheet.people.size() == 2);
    CHECK(counted_here(*farm.season.block("b1")) == std::vector<std::string>{"p1", "p2"});
    const CountingPrior& prior = sheet.prior;
    double squares = prior.one_weight * prior.one_sd * prior.one_sd, df = prior.one_weight;
    for (const CounterSheet& person : sheet.people) {
      double sum = 0;
      for (const CountedTwice& pair : person.pairs) sum += pair.log_ratio();
      CHECK(sum / static_cast<double>(person.pairs.size()) == doctest::Approx(person.own_mean));
      squares += person.squares;
      df += static_cast<double>(person.pairs.size()) - 1;
    }
    CHECK(squares / df == doctest::Approx(sheet.one_variance));
    double precision = 1 / (prior.log_mean_sd * prior.log_mean_sd);
    double sum = prior.log_mean * precision;
    double people = 0, between = prior.between_weight * prior.between_sd * prior.between_sd;
    for (const CounterSheet& person : sheet.people) {
      const double weight = person.as_usual / (sheet.between_before + person.own_variance);
      precision += weight;
      sum += weight * person.own_mean;
      between += person.as_usual *
                 (std::pow(person.drawn_mean - sheet.mean, 2) + person.drawn_variance);
      people += person.as_usual;
    }
    CHECK(sum / precision == doctest::Approx(sheet.mean));
    CHECK(sheet.mean == doctest::Approx(sheet.bias.crew_log_mean));
    CHECK(between / (prior.between_weight + people) == doctest::Approx(sheet.between));
    CHECK(std::sqrt(sheet.between) == doctest::Approx(sheet.bias.crew_log_sd_between));
    REQUIRE(sheet.of("p1"));
    CHECK(sheet.of("p3") == nullptr);
  }
}
