// SPDX-License-Identifier: Apache-2.0
#include "advice/next/brief.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

namespace {

bool notes(const Brief& brief, const std::string& id) {
  return std::any_of(brief.notes.begin(), brief.notes.end(),
                     [&](const Reason& note) { return note.id == id; });
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("the brief shares out what is to come off between limbs and spurs") {
    SeasonBuilder farm;
    for (int row : {1, 9, 17}) {
      farm.add(nthtree::ledger::BeforeCount{"b1", {row, 5}, 480}, "lead");
    }
    const Brief brief = crew_brief(farm.season, "b1", farm.now_ms());
    REQUIRE(brief.known);
    CHECK(brief.spurs_to_leave.value == 189);
    CHECK(brief.spurs_to_take.value == 291);
    CHECK(brief.limbs_to_take == 3);  // 40 spurs a limb, three limbs at most
    CHECK(brief.spurs_left_to_take == 171);
    CHECK(brief.spurs_per_limb_to_leave == doctest::Approx(21));
    CHECK(brief.band_low == doctest::Approx(189 * 0.85));
    CHECK_FALSE(notes(brief, "brief_no_before_counts"));
  }

  TEST_CASE("cautions are always there, whatever is known") {
    SeasonBuilder farm;
    for (const char* block : {"b1", "b9"}) {
      const Brief brief = crew_brief(farm.season, block, farm.now_ms());
      CHECK(brief.cautions.size() == 6);
      CHECK(brief.cautions[0].id == "caution_ladder");
      CHECK(brief.cautions[5].id == "caution_local_rules");
    }
  }

  TEST_CASE("a stride that meets the same places of every row is told") {
    SeasonBuilder farm;
    auto settings = nthtree::test::block_settings("b1");
    settings.block.stride = 45;  // rows of 90
    farm.block(settings);
    const Brief brief = crew_brief(farm.season, "b1", farm.now_ms());
    CHECK(notes(brief, "brief_stride"));
    CHECK(notes(brief, "brief_no_before_counts"));
    settings.block.stride = 50;  // shares ten with the row
    farm.block(settings);
    for (const Reason& note : crew_brief(farm.season, "b1", farm.now_ms()).notes) {
      if (note.id != "brief_stride") continue;
      CHECK(note.number("places") == 9);
      CHECK(note.number("row") == 90);
      CHECK(note.number("better") == 49);
    }
    settings.block.stride = 91;  // creeps along by one
    farm.block(settings);
    CHECK(notes(crew_brief(farm.season, "b1", farm.now_ms()), "brief_stride_near"));
  }
}
