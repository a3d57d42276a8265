// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/against_crew.h"

#include <doctest/doctest.h>

#include <cmath>

#include "advice/judged/verdict.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::ledger::BranchPosition;
using nthtree::test::SeasonBuilder;

namespace {

// Counts about a level, two rows a person, every one known by re-counts.
void count_about(SeasonBuilder& farm, const std::string& person, double level, int row, int n) {
  const double about[] = {1.1, 0.85, 1.0, 1.2, 0.9, 1.05, 0.8, 1.15, 0.95, 1.0};
  for (int i = 0; i < n; ++i) {
    const int spurs = static_cast<int>(level * about[i % 10]);
    farm.tag(person, row + i % 2, 3 + 7 * (i / 2), spurs);
    if (i % 3 == 0) farm.check("lead", row + i % 2, 3 + 7 * (i / 2), spurs);
  }
}

// Three trees whose branches disagree widely: a target known to a fifth or so.
void loosen_target(SeasonBuilder& farm) {
  farm.buds(1, 1, BranchPosition::upper, 9, 1).buds(1, 1, BranchPosition::lower, 10, 1);
  farm.buds(5, 9, BranchPosition::upper, 8, 0).buds(5, 9, BranchPosition::lower, 4, 8);
  farm.buds(9, 2, BranchPosition::upper, 10, 0).buds(9, 2, BranchPosition::lower, 9, 0);
}

AgainstCrew answer_for(const SeasonBuilder& farm, const std::string& person) {
  return against_crew(block_standings(farm.season, "b1", farm.now_ms()), person, Settings{});
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("where the target is loose a pruner a quarter below the others got no answer") {
    SeasonBuilder farm;
    loosen_target(farm);
    count_about(farm, "p1", 142, 2, 20);
    int row = 6;
    for (const char* mate : {"p2", "p3", "p4", "p5"}) {
      count_about(farm, mate, 190, row, 20);
      row += 2;
    }
    CHECK(verdict_of(farm.season, "b1", "p1", farm.now_ms()).kind == VerdictKind::count_more);
    const AgainstCrew low = answer_for(farm, "p1");
    CHECK(low.kind == AgainstCrewKind::fewer);
    CHECK(low.others == 4);
    CHECK(low.fraction.value == doctest::Approx(142.0 / 190 - 1).epsilon(0.05));
    CHECK(low.fraction.low < low.fraction.value);
    CHECK(low.fraction.high < 0);
    CHECK(low.spurs_per_tree_over_crew.value < -30);
    CHECK(low.sureness > 0.95);
    CHECK(low.reason.id == "crew_fewer");
    CHECK(low.reason.number("percent") == std::round(-100 * low.fraction.value));
    CHECK(answer_for(farm, "p3").kind != AgainstCrewKind::fewer);
    CHECK(answer_for(farm, "p3").kind != AgainstCrewKind::more);
  }

  TEST_CASE("the target's doubt is not in the difference") {
    SeasonBuilder sure, loose;
    loosen_target(loose);
    for (SeasonBuilder* farm : {&sure, &loose}) {
      int row = 2;
      for (const char* person : {"p1", "p2", "p3"}) {
        count_about(*farm, person, 190, row, 12);
        row += 2;
      }
    }
    const AgainstCrew a = answer_for(sure, "p1"), b = answer_for(loose, "p1");
    CHECK(a.difference.sd == doctest::Approx(b.difference.sd).epsilon(0.02));
    CHECK(block_standings(loose.season, "b1", loose.now_ms()).of("p1")->own.sd >
          1.5 * b.difference.sd);
  }

  TEST_CASE("nobody is asked to follow a crew that is off") {
    AgainstCrew crew;
    crew.kind = AgainstCrewKind::fewer;
    Standing own;
    own.over_target.value = 12;  // fewer than the others, and still over the target
    CHECK(crew.tells());
    CHECK_FALSE(crew.tells_with(own));
    own.over_target.value = -12;
    CHECK(crew.tells_with(own));
    crew.kind = AgainstCrewKind::alike;
    CHECK_FALSE(crew.tells_with(own));
  }

  TEST_CASE("nobody is compared with fewer than two others") {
    SeasonBuilder farm;
    CHECK(answer_for(farm, "p1").kind == AgainstCrewKind::too_few_others);
    count_about(farm, "p1", 120, 2, 12);
    count_about(farm, "p2", 190, 4, 12);
    const AgainstCrew one = answer_for(farm, "p1");
    CHECK(one.kind == AgainstCrewKind::too_few_others);
    CHECK(one.others == 1);
    count_about(farm, "p3", 190, 6, 2);  // two counts are too few to be compared with
    CHECK(answer_for(farm, "p1").others == 1);
    CHECK(answer_for(farm, "p9").reason.id == "crew_few_others");
  }

  TEST_CASE("one who counts much more than the rest is not the crew") {
    SeasonBuilder farm;
    count_about(farm, "p1", 190, 2, 12);
    count_about(farm, "p2", 250, 4, 24);
    int row = 8;
    for (const char* mate : {"p3", "p4", "p5", "p6"}) {
      count_about(farm, mate, 190, row, 6);
      row += 2;
    }
    // Weighed by counts alone one of five would be half of the others' mean.
    double sum = 0;
    for (const CrewPart& part : answer_for(farm, "p1").parts) {
      CHECK(part.weight < 0.46);
      sum += part.weight;
    }
    CHECK(sum == doctest::Approx(1));
  }
}
