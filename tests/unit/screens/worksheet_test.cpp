// SPDX-License-Identifier: Apache-2.0
//
// The block's worksheet, varieties and the spread on the map, tapped by control.
#include <doctest/doctest.h>

#include "advice/known/floral.h"
#include "base/text.h"
#include "unit/screens/phone.h"
#include "unit/screens/stage.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;
using stage::Phone;

}  // namespace

TEST_SUITE("screens: worksheet") {
  TEST_CASE("a farm's own value of a variety is kept alone; what it did not touch stays as it came") {
    Session session = stage::at(ScreenId::varieties, "m1", "b1");
    Phone phone(session, stage::farm());
    REQUIRE(phone.tap("variety/honeycrisp"));
    CHECK(phone.session.here().screen == ScreenId::edit_variety);
    CHECK(phone.shows("Performing Floral Bud Evaluations"));  // a source, as printed
    REQUIRE(phone.type("variety/honeycrisp/insurance", "9"));
    CHECK(phone.shows("9 is not allowed: 0.5 to 5."));
    REQUIRE(phone.tap("keep"));
    CHECK_FALSE(phone.last<SaveRecords>());
    REQUIRE(phone.type("variety/honeycrisp/insurance", "2.2"));
    REQUIRE(phone.type("variety/honeycrisp/source", "own trial"));
    REQUIRE(phone.tap("keep"));
    const SaveRecords* save = phone.last<SaveRecords>();
    REQUIRE(save);
    const auto* settings = std::get_if<ledger::VarietySettings>(&save->bodies.front());
    REQUIRE(settings);
    orchard::VarietyChange expected;
    expected.name = "Honeycrisp";
    expected.insurance_factor = 2.2;
    expected.source = "own trial";
    CHECK(settings->variety == expected);
  }

  TEST_CASE("the farm's own value is what a block takes over, and it can be given back") {
    ledger::Season season = stage::farm();
    ledger::VarietySettings own;
    own.variety.name = "honeycrisp";
    own.variety.insurance_factor = 2.2;
    stage::add(season, own, "m1", stage::thursday_ms());
    Session session = stage::at(ScreenId::edit_block, "m1", "b1");
    session.stack.back().block = "b1";
    session.fields["block/b1/variety"] = "Honeycrisp";
    Phone phone(session, season);
    REQUIRE(phone.tap("preset"));
    CHECK(phone.session.fields.at("block/b1/insurance") == "2.2");
    Session list = stage::at(ScreenId::varieties, "m1", "b1");
    Phone again(list, season);
    CHECK(again.shows("set here"));
    REQUIRE(again.tap("variety/honeycrisp"));
    CHECK(again.shows("set by this farm"));
    REQUIRE(again.tap("reset"));
    REQUIRE(again.tap("keep"));
    const SaveRecords* save = again.last<SaveRecords>();
    REQUIRE(save);
    const auto* settings = std::get_if<ledger::VarietySettings>(&save->bodies.front());
    REQUIRE(settings);
    CHECK(settings->variety.empty());
  }

  TEST_CASE("beside the target stand all its consequences, and a plan that can be taken over") {
    Session session = stage::at(ScreenId::edit_block, "m1", "b1");
    session.stack.back().block = "b1";
    Phone phone(session, stage::farm());
    for (const char* word : {"Seeds at bloom on a tree", "In an on-year (90 in 100 flower)",
                             "In an off-year (30 in 100 flower)",
                             "Unpruned trees are over the target by", "That is, in limbs",
                             "If nothing were pruned, to thin by hand",
                             "Hours of hand thinning saved", "What that would cost",
                             "Pruning is better"}) {
      CHECK_MESSAGE(phone.shows(word), word);
    }
    REQUIRE(phone.tap("plan"));
    CHECK(std::stoi(phone.session.fields.at("block/b1/stride")) > 1);
    CHECK(std::stoi(phone.session.fields.at("block/b1/start")) >= 1);
  }

  TEST_CASE("a mean wanted more closely takes more trees, minutes and money") {
    const ledger::Season season = stage::farm();
    const auto stride_within = [&](const char* percent) {
      Session session = stage::at(ScreenId::edit_block, "m1", "b1");
      session.stack.back().block = "b1";
      Phone phone(session, season);
      REQUIRE(phone.type("block/b1/within", percent));
      CHECK(phone.shows(std::string("within ±") + percent + " in 100"));
      REQUIRE(phone.tap("plan"));
      return std::stoi(phone.session.fields.at("block/b1/stride"));
    };
    const int loose = stride_within("20"), tenth = stride_within("10"), close = stride_within("4");
    CHECK(loose > tenth);
    CHECK(tenth > close);
    Session session = stage::at(ScreenId::edit_block, "m1", "b1");
    session.stack.back().block = "b1";
    Phone phone(session, season);
    REQUIRE(phone.type("block/b1/within", "90"));
    CHECK(phone.shows("90 is not allowed: 2 to 50"));
  }

  TEST_CASE("a stride that meets few places of the row is told in words, with a better one to take") {
    // The block has 43 rows of 94 trees: 47 divides, 188 is a multiple, 24 shares a factor.
    for (const auto& [typed, told] :
         {std::pair{"47", "2 of 94, and never the others"}, {"188", "1 of 94, and never the others"},
          {"24", "meets only 47 of 94 places"}, {"95", "52 neighbouring places of a row are never met"},
          {"1000", "Fewer than 6 trees"}}) {
      Session session = stage::at(ScreenId::edit_block, "m1", "b1");
      session.stack.back().block = "b1";
      session.fields["block/b1/stride"] = typed;
      Phone phone(session, stage::farm());
      const std::string message = std::string(typed) + ": " + told;
      CHECK_MESSAGE(phone.shows(told), message);
    }
    Session session = stage::at(ScreenId::edit_block, "m1", "b1");
    session.stack.back().block = "b1";
    session.fields["block/b1/stride"] = "24";
    Phone phone(session, stage::farm());
    CHECK(phone.shows("Take 23 instead"));
    CHECK(phone.shows("one in 6"));  // what such a stride did on real trees
    session.fields["block/b1/stride"] = "23";
    Phone better(session, stage::farm());
    CHECK_FALSE(better.shows("instead"));
  }

  TEST_CASE("beside the share of flower buds stand its buds, what is left out, and what they are worth") {
    const ledger::Season season = stage::farm();
    const auto floral = advice::floral_fraction(*season.block("b1"));
    REQUIRE(floral.trees > 1);
    Phone phone(stage::at(ScreenId::buds, "l1", "b1"), season);
    for (const std::string& words :
         {std::to_string(floral.spur_buds) + " on spurs",
          std::to_string(floral.terminal_buds) + " at shoot ends",
          std::to_string(floral.lateral_left_out) + " side buds left out"}) {
      CHECK_MESSAGE(phone.shows(words), words);
    }
    CHECK_FALSE(phone.shows("esign effect"));  // a word for experts
    Phone experts(stage::at(ScreenId::numbers, "l1", "b1"), season);
    CHECK(experts.shows("Design effect of the buds: " +
                        base::print("%.1f", floral.design_effect)));
  }

  TEST_CASE("every unit of yield, box, bin and trunk stays what it was when something else is typed") {
    for (int unit = 0; unit < 9; ++unit) {
      for (bool trunk : {false, true}) {
        ledger::Season season = stage::farm();
        orchard::Block block = *season.block("b1")->block;
        if (trunk) {
          block.target.yield.reset();
          block.target.trunk = orchard::TrunkGoal{};
          (unit % 2 ? block.target.trunk->diameter_mm : block.target.trunk->girth_mm) = 150;
          block.target.trunk->fruits_per_cm2 = 5;
        } else {
          block.target.yield->unit = static_cast<orchard::YieldUnit>(unit);
          block.target.yield->amount = 40;
          block.target.yield->box_kg = 18.14;
          block.target.yield->bin_kg = 410;
        }
        stage::add(season, ledger::BlockSettings{block}, "m1", stage::thursday_ms());
        Session session = stage::at(ScreenId::edit_block, "m1", "b1");
        session.stack.back().block = "b1";
        session.preferences.units = Units::metric;
        Phone phone(session, season);
        REQUIRE(phone.type("block/b1/tolerance", "20"));
        REQUIRE(phone.tap("keep"));
        const SaveRecords* save = phone.last<SaveRecords>();
        REQUIRE(save);
        block.tolerance_fraction = 0.2;
        CHECK(std::get<ledger::BlockSettings>(save->bodies.front()).block == block);
      }
    }
  }

  TEST_CASE("spacing comes back as it was typed, in feet and in metres, and unasked it stays") {
    const auto keep = [](double row_m, Units units, const std::string& typed) {
      ledger::Season season = stage::farm();
      orchard::Block block = *season.block("b1")->block;
      block.spacing.row_m = row_m;
      stage::add(season, ledger::BlockSettings{block}, "m1", stage::thursday_ms());
      Session session = stage::at(ScreenId::edit_block, "m1", "b1");
      session.stack.back().block = "b1";
      session.preferences.units = units;
      Phone phone(session, season);
      std::string shown;
      for (const widgets::Control& control : phone.frame().controls()) {
        if (control.id == "block/b1/row_m") shown = control.value;
      }
      if (!typed.empty()) REQUIRE(phone.type("block/b1/row_m", typed));
      REQUIRE(phone.tap("keep"));
      const SaveRecords* save = phone.last<SaveRecords>();
      REQUIRE(save);
      const auto& kept = std::get<ledger::BlockSettings>(save->bodies.front()).block;
      return std::pair{shown, kept.spacing.row_m};
    };
    // 12 ft kept to the centimetre was shown as 12.01.
    CHECK(keep(3.66, Units::us, "") == std::pair{std::string("12"), 3.66});
    CHECK(keep(3.66, Units::us, "12").second == 3.66);
    CHECK(keep(3.6576, Units::metric, "") == std::pair{std::string("3.66"), 3.6576});
    for (const char* typed : {"2", "3", "7.5", "9.84", "12", "12.5", "13.25", "14", "17.9", "65"}) {
      const double feet_kept = keep(3, Units::us, typed).second;
      CHECK(keep(feet_kept, Units::us, "") == std::pair{std::string(typed), feet_kept});
    }
    for (const char* typed : {"0.5", "0.95", "3", "3.2", "3.66", "20"}) {
      const double metres_kept = keep(4, Units::metric, typed).second;
      CHECK(keep(metres_kept, Units::metric, "") == std::pair{std::string(typed), metres_kept});
    }
  }

  TEST_CASE("the map tells how trees differ; the names of the books stand behind, for experts") {
    Phone phone(stage::at(ScreenId::block_map, "m1", "b1"), stage::farm());
    CHECK(phone.shows("Trees differ by"));
    for (const char* word : {"Shape of the counts", "Green", "Kuno", "binomial"}) {
      CHECK_FALSE_MESSAGE(phone.shows(word), word);
    }
    REQUIRE(phone.tap("numbers"));
    for (const char* word : {"Shape of the counts", "Green", "Kuno",
                             "Our rule, for a decision", "Mean of the tags"}) {
      CHECK_MESSAGE(phone.shows(word), word);
    }
  }
}
