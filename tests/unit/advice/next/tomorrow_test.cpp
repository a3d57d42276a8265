// SPDX-License-Identifier: Apache-2.0
#include "advice/next/tomorrow.h"

#include <doctest/doctest.h>

#include "unit/advice/season_builder.h"

using namespace nthtree;
using namespace nthtree::advice;

namespace {

ledger::BlockSettings block_with_tip(const std::string& id, const std::string& green_tip) {
  ledger::BlockSettings settings = test::block_settings(id);
  settings.block.green_tip_date = green_tip;
  return settings;
}

void hire(test::SeasonBuilder& farm, const std::string& id, const std::string& gang) {
  orchard::Person person{id, id, orchard::Role::pruner, true};
  person.gang = gang;
  farm.add(ledger::PersonSettings{person}, "boss");
}

// Two gangs of two in blocks of 3,600 trees; both work in b1, at 15 trees an hour and person.
test::SeasonBuilder two_gangs(const std::string& tip_1, const std::string& tip_2) {
  test::SeasonBuilder farm;
  farm.block(block_with_tip("b1", tip_1)).block(block_with_tip("b2", tip_2));
  for (const char* id : {"p1", "p2"}) hire(farm, id, "North");
  for (const char* id : {"p3", "p4"}) hire(farm, id, "South");
  for (int day = 0; day < 3; ++day) {
    for (const char* id : {"p1", "p2", "p3", "p4"}) {
      farm.add(ledger::WorkSpell{"b1", 120, 480}, id);
    }
    farm.next_day();
  }
  return farm;
}

const BlockEnd& end_of(const Tomorrow& plan, const std::string& block) {
  for (const BlockEnd& end : plan.blocks) {
    if (end.block == block) return end;
  }
  FAIL("no such block");
  return plan.blocks.front();
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("a block whose buds break first gets hands before one that can wait") {
    const test::SeasonBuilder farm = two_gangs("2026-03-28", "2026-02-16");
    const Tomorrow plan = tomorrow(farm.season, farm.now_ms());
    REQUIRE(plan.gangs.size() == 2);
    CHECK(plan.gangs[0].name == "North");
    CHECK(plan.gangs[0].people.size() == 2);
    CHECK(plan.gangs[0].block == "b2");
    CHECK(plan.gangs[0].reasons.front().id == "gang_moves");
    CHECK(plan.trees_late < plan.trees_late_as_now - 100);
    CHECK(plan.gangs[0].trees_per_hour == doctest::Approx(30).epsilon(0.1));
  }

  TEST_CASE("where all is in time, nobody is moved") {
    const test::SeasonBuilder farm = two_gangs("2027-02-12", "2027-04-20");
    const Tomorrow plan = tomorrow(farm.season, farm.now_ms());
    for (const Gang& gang : plan.gangs) {
      CHECK(gang.block == "b1");
      CHECK(gang.reasons.front().id == "gang_stays");
    }
  }

  TEST_CASE("what if is answered by the same arithmetic, and unknown names change nothing") {
    const test::SeasonBuilder farm = two_gangs("2026-02-12", "2026-02-12");
    const Tomorrow plan = tomorrow(farm.season, farm.now_ms());
    const Tomorrow same = what_if(farm.season, farm.now_ms(),
                                  {{"North", plan.gangs[0].block}, {"South", plan.gangs[1].block}});
    CHECK(same.trees_late == doctest::Approx(plan.trees_late));
    const Tomorrow stay = what_if(farm.season, farm.now_ms(), {{"East", "b2"}, {"North", "b9"}});
    CHECK(stay.trees_late == doctest::Approx(plan.trees_late_as_now));
    CHECK(end_of(stay, "b2").trees_per_hour == 0);
    CHECK(end_of(stay, "b2").end_day > end_of(stay, "b1").end_day);
  }

  TEST_CASE("no assignment leaves fewer trees than the one proposed") {
    const test::SeasonBuilder farm = two_gangs("2026-02-20", "2026-02-14");
    const double proposed = tomorrow(farm.season, farm.now_ms()).trees_late;
    for (const char* north : {"b1", "b2"}) {
      for (const char* south : {"b1", "b2"}) {
        CHECK(proposed <=
              what_if(farm.season, farm.now_ms(), {{"North", north}, {"South", south}}).trees_late +
                  1e-6);
      }
    }
  }

  TEST_CASE("ends carry an interval, and more hands end sooner") {
    const test::SeasonBuilder farm = two_gangs("2026-02-13", "2026-02-24");
    const Tomorrow one = what_if(farm.season, farm.now_ms(), {{"North", "b1"}, {"South", "b2"}});
    const Tomorrow both = what_if(farm.season, farm.now_ms(), {{"North", "b1"}, {"South", "b1"}});
    const BlockEnd& alone = end_of(one, "b1");
    CHECK(alone.end_day_early <= alone.end_day);
    CHECK(alone.end_day <= alone.end_day_late);
    CHECK(end_of(both, "b1").end_day < alone.end_day);
    CHECK(end_of(both, "b1").chance_in_time > alone.chance_in_time);
  }

  TEST_CASE("nobody works yet, or nothing is left: no gang, no block, no crash") {
    test::SeasonBuilder farm;
    CHECK(tomorrow(farm.season, farm.now_ms()).gangs.empty());
    farm.add(ledger::BlockProgress{"b1", ledger::BlockStep::finished}, "lead");
    CHECK(tomorrow(farm.season, farm.now_ms()).blocks.empty());
  }
}
