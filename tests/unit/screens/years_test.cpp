// SPDX-License-Identifier: Apache-2.0
#include <doctest/doctest.h>

#include <algorithm>

#include "screens/parts/entries.h"
#include "screens/parts/wording.h"
#include "screens/season/tag_code.h"
#include "unit/screens/phone.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;
using stage::Phone;

constexpr std::int64_t month_ms = 30LL * 24 * 3600 * 1000;

Session months_later(ScreenId screen, const std::string& person = "m1") {
  Session session = stage::at(screen, person, "b1");
  session.now_ms += 7 * month_ms;
  return session;
}

template <typename T>
std::vector<T> bodies_of(const SaveRecords& save) {
  std::vector<T> found;
  for (const ledger::Body& body : save.bodies) {
    if (const auto* one = std::get_if<T>(&body)) found.push_back(*one);
  }
  return found;
}

}  // namespace

TEST_SUITE("screens: years") {
  TEST_CASE("a season is closed in one step, and the next begins with what this one taught") {
    Phone phone(months_later(ScreenId::close_season), stage::harvest_farm());
    CHECK(phone.shows("insurance factor"));
    REQUIRE(phone.tap("close"));
    CHECK(phone.shows("Every phone of the farm begins the next season"));
    REQUIRE(phone.tap("close_season/yes"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    const auto closed = bodies_of<ledger::SeasonClosed>(*save);
    REQUIRE(closed.size() == 1);
    CHECK(closed[0].year == 2026);
    CHECK(std::holds_alternative<ledger::SeasonClosed>(save->bodies[0]));
    const auto blocks = bodies_of<ledger::BlockSettings>(*save);
    REQUIRE_FALSE(blocks.empty());
    const auto b1 = std::find_if(blocks.begin(), blocks.end(),
                                 [](const auto& one) { return one.block.id == "b1"; });
    REQUIRE(b1 != blocks.end());
    CHECK(b1->block.green_tip_date.empty());
    CHECK(b1->block.target.insurance_factor !=
          stage::harvest_farm().block("b1")->block->target.insurance_factor);
  }

  TEST_CASE("a season closed twice is said, and nothing is closed") {
    Session session = months_later(ScreenId::close_season);
    session.fields["close/year"] = "2025";
    Phone phone(session, stage::years_farm());
    CHECK(phone.shows("The season of 2025 is closed already"));
    REQUIRE(phone.tap("close"));
    CHECK_FALSE(phone.last<SaveRecords>());
    CHECK_FALSE(phone.shows("Every phone of the farm"));
  }

  TEST_CASE("seasons stand side by side, with their words to be read and a page to print") {
    Phone phone(months_later(ScreenId::years), stage::years_farm());
    CHECK(phone.shows("2024"));
    CHECK(phone.shows("Biennial index"));
    REQUIRE(phone.tap("print"));
    const PrintReport* paper = phone.last<PrintReport>();
    REQUIRE(paper);
    CHECK(paper->html.find("<td>2025</td>") != std::string::npos);
    CHECK(paper->html.find("Lower Bench") != std::string::npos);
    CHECK(phone.tap("close"));
    CHECK(phone.session.here().screen == ScreenId::close_season);
  }

  TEST_CASE("counts of closed seasons are out of the list, and one tap away") {
    Phone phone(months_later(ScreenId::history), stage::years_farm());
    const auto at_hand = count_lines(stage::years_farm(), "", 0);
    const auto closed = count_lines(stage::years_farm(), "", 0, Seasons::closed);
    REQUIRE_FALSE(closed.empty());
    for (const CountLine& line : at_hand) {
      CHECK(stage::years_farm().spans().back().holds(line.at_ms));
    }
    for (const CountLine& line : closed) {
      CHECK_FALSE(stage::years_farm().spans().back().holds(line.at_ms));
    }
    CHECK_FALSE(phone.shows(tree_in_text(closed.front().tree)));
    REQUIRE(phone.tap("history/closed"));
    CHECK(phone.shows(tree_in_text(closed.front().tree)));
    // A farm that never closed one is not asked.
    CHECK_FALSE(Phone(stage::at(ScreenId::history, "m1", "b1"), stage::farm()).tap(
        "history/closed"));
  }

  TEST_CASE("a fruit's mean weight goes with the tree's count, which it corrects") {
    Phone phone(months_later(ScreenId::harvest), stage::harvest_farm());
    CHECK(phone.shows("No spurs were counted on"));
    const auto& last = stage::harvest_farm().block("b1")->harvest_counts.back();
    REQUIRE(phone.type("harvest/grams/" + last.position.id.text(), "182"));
    REQUIRE(phone.tap("weigh"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    CHECK(save->replaces == last.position.id);
    CHECK(std::get<ledger::HarvestCount>(save->bodies[0]).grams_per_fruit == 182);
  }

  TEST_CASE("the papers of a block and its tags are made on the phone") {
    Phone phone(stage::at(ScreenId::papers, "m1", "b1"), stage::farm());
    REQUIRE(phone.tap("paper/block"));
    const std::string block = phone.last<PrintReport>()->html;
    CHECK(block.find("Counted trees") != std::string::npos);
    // Trees and bands, and nobody's name.
    for (const auto& entry : stage::farm().people()) {
      const std::string& name = entry.second.name;
      CHECK_MESSAGE(block.find(">" + name + "<") == std::string::npos, name);
    }
    REQUIRE(phone.tap("paper/brief"));
    CHECK(phone.last<PrintReport>()->html.find("Stay safe") != std::string::npos);
    REQUIRE(phone.tap("paper/tags"));
    const std::string tags = phone.last<PrintReport>()->html;
    CHECK(tags.find("data-qr=\"NTHTAG:") != std::string::npos);
    REQUIRE(phone.tap("paper/season"));
    CHECK(phone.last<PrintReport>()->html.find("Planned") != std::string::npos);
  }

  TEST_CASE("a tag's code is read back, on its own farm alone") {
    const ledger::Season& season = stage::farm();
    const std::string code = tag_code(season, "b1", {3, 14});
    CHECK(code.find_first_not_of("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:") ==
          std::string::npos);
    const TagRead read = read_tag(season, code);
    CHECK(read.state == TagState::found);
    CHECK(read.block == "b1");
    CHECK(read.tree == orchard::TreeAddress{3, 14});
    CHECK(read_tag(stage::new_farm(), code).state == TagState::other_farm);
    CHECK(read_tag(season, tag_code(season, "b1", {1900, 1})).state == TagState::no_tree);
    for (const char* other : {"", "NTH1:ABC", "HTTPS://EXAMPLE.ORG", "NTHTAG:12:3:4",
                              "NTHTAG:0000000G:1:1", "NTHTAG:00000000:1:1 "}) {
      CHECK(read_tag(season, other).state != TagState::found);
    }
  }

  TEST_CASE("a tag whose row is no number of a row had opened another row's tree") {
    const ledger::Season& season = stage::farm();
    std::string code = tag_code(season, "b1", {3, 14});
    const std::size_t row = code.rfind(":3:14");
    REQUIRE(row != std::string::npos);
    for (const char* other : {":4294967299:14", ":3:4294967310", ": 3:14", ":+3:14", ":-3:14"}) {
      CHECK(read_tag(season, code.substr(0, row) + other).state != TagState::found);
    }
  }

  TEST_CASE("a scanned tag opens its tree; a tag of another farm is said and the camera goes on") {
    const ledger::Season& season = stage::farm();
    Session session = stage::at(ScreenId::scan_tag, "l1", "b2");
    session.can_scan = true;
    session.exchange.camera.on = true;
    apply(session, season, TagScanned{"NTHTAG:00000000:3:14"});
    CHECK(session.exchange.camera.on);
    CHECK(Phone(session, season).shows("That is a tag of another farm"));
    apply(session, season, TagScanned{tag_code(season, "b1", {3, 14})});
    CHECK_FALSE(session.exchange.camera.on);
    CHECK(session.here().screen == ScreenId::tree);
    CHECK(session.block == "b1");
    Phone phone(session, season);
    CHECK(phone.shows("Row 3, tree 14"));
    REQUIRE(phone.tap("clusters"));
    CHECK(phone.last<OpenCount>()->tree == orchard::TreeAddress{3, 14});
  }
}
