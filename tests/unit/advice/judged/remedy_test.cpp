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
}
