// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/remedy.h"

#include <doctest/doctest.h>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

namespace {

Verdict open_because(const std::string& reason) {
  Verdict verdict;
  verdict.reason.id = reason;
  return verdict;
}

// Three pruners near the target, trees that differ by 25 %, tags that miss one spur in twelve; of
// each the first `rechecked` tags are counted again.
struct CrewOfThree {
  int counts_each = 25, rechecked = 0;

  Verdict verdict_of_block() const {
    SeasonBuilder farm;
    for (int p = 0; p < 3; ++p) {
      const std::string person = "p" + std::to_string(p + 1);
      for (int i = 0; i < counts_each; ++i) {
        const int row = 1 + 12 * p + i / 8, tree = 5 + 10 * (i % 8), spurs = tree_of(i, p);
        farm.tag(person, row, tree, spurs * 11 / 12);
        if (i < rechecked) farm.check("lead", row, tree, spurs);
      }
    }
    const BlockStandings all = block_standings(farm.season, "b1", farm.now_ms());
    return judge(all.block_standing, settings_for(farm.season, *farm.season.block("b1")));
  }

 private:
  static int tree_of(int number, int person) {
    return 188 + 33 * ((number * 7 + person * 3) % 5 - 2);
  }
};

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("count more was printed where the remedy is a re-count or more buds") {
    CHECK(remedy_of(open_because("count_more_few")) == Remedy::count_more);
    CHECK(remedy_of(open_because("count_more_bias")) == Remedy::recount_first);
    CHECK(remedy_of(open_because("count_more_target")) == Remedy::cut_more_buds);
    CHECK(remedy_of(open_because("no_target")) == Remedy::none);
    CHECK(name_of(open_because("count_more_bias")) == "recount_first");
    CHECK(name_of(open_because("count_more_target")) == "cut_more_buds");
    CHECK(name_of(open_because("far_trees")) == "call_lead");
    CHECK(name_of(open_because("count_more_few")) == "count_more");
    Verdict told = open_because("harder_sure");
    told.kind = VerdictKind::harder;
    CHECK(remedy_of(told) == Remedy::none);
    CHECK(name_of(told) == "harder");
  }

  TEST_CASE("a loose target asks for buds, whatever is counted") {
    SeasonBuilder farm;
    using nthtree::ledger::BranchPosition;
    farm.buds(1, 1, BranchPosition::upper, 9, 1).buds(1, 1, BranchPosition::lower, 10, 1);
    farm.buds(5, 9, BranchPosition::upper, 8, 0).buds(5, 9, BranchPosition::lower, 4, 8);
    farm.buds(9, 2, BranchPosition::upper, 10, 0).buds(9, 2, BranchPosition::lower, 9, 0);
    farm.tags("p1", {225, 240, 232, 228, 246, 239, 233, 236, 229, 241});
    CHECK(remedy_of(verdict_of(farm.season, "b1", "p1", farm.now_ms())) == Remedy::cut_more_buds);
  }

  TEST_CASE("a block nobody re-counted was told that more tags would help") {
    const Verdict verdict = CrewOfThree{}.verdict_of_block();
    CHECK(name_of(verdict) == "recount_first");
    CHECK(verdict.expected_more_trees == 0);
    // Indeed they would not: with four times as many it is as open, and says the same.
    CHECK(name_of(CrewOfThree{.counts_each = 96}.verdict_of_block()) == "recount_first");
    // And re-counts do.
    CHECK(name_of(CrewOfThree{.rechecked = 5}.verdict_of_block()) == "on_target");
  }

  TEST_CASE("a block that was re-counted and has few tags waits for tags") {
    const Verdict verdict = CrewOfThree{.counts_each = 3, .rechecked = 3}.verdict_of_block();
    CHECK(name_of(verdict) == "count_more");
    CHECK(verdict.expected_more_trees > 0);
    CHECK(verdict.expected_more_trees < 30);
  }
}
