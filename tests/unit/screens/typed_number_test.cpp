// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/typed_number.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "unit/screens/phone.h"
#include "widgets/language.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;
using stage::Phone;

using Readings = std::vector<double>;

const std::string yields = "block//yield", rows = "block//rows";

Phone new_block() { return Phone(stage::at(ScreenId::edit_block, "m1", ""), stage::farm()); }

}  // namespace

TEST_SUITE("screens: typed numbers") {
  // Unicode CLDR 48 as ICU 78 formats 1350, 12350.5 and 1350000 in nineteen regions: en-US, en-CA,
  // es-MX, es-ES, fr-FR, fr-CA, de-DE, de-CH, it-CH, pt-BR, pl-PL, uk-UA, vi-VN, pa-IN, hi-IN, ru-RU,
  // zh-CN, he-IL, el-GR; doubles left out.
  TEST_CASE("a number is read as any of the world's regions writes it") {
    for (const char* text : {"12,350.5", "12.350,5", "12\u202f350,5", "12\u00a0350,5", "12'350.5"}) {
      CAPTURE(text);
      CHECK(readings_of(text) == Readings{12350.5});
    }
    for (const char* text : {"1,350,000", "1.350.000", "1\u202f350\u202f000",
                             "1\u00a0350\u00a0000", "1'350'000", "13,50,000"}) {
      CAPTURE(text);
      CHECK(readings_of(text) == Readings{1350000});
    }
    for (const char* text : {"1350", "1\u202f350", "1\u00a0350", "1'350", "1’350", "1 350"}) {
      CAPTURE(text);
      CHECK(readings_of(text) == Readings{1350});
    }
    for (const char* text : {"1,350", "1.350"}) {
      CAPTURE(text);
      CHECK(readings_of(text) == Readings{1350, 1.35});
    }
  }

  TEST_CASE("a decimal comma or point is read, and what is no number has no reading") {
    CHECK(readings_of(" 3,5 ") == Readings{3.5});
    CHECK(readings_of("0,350") == Readings{0.35});
    CHECK(readings_of("1350,500") == Readings{1350.5});
    CHECK(readings_of(".5") == Readings{0.5});
    CHECK(readings_of("5.") == Readings{5});
    CHECK(readings_of("-2") == Readings{-2});
    CHECK(readings_of("−2") == Readings{-2});
    for (const char* text : {"", "  ", "1e9", "0x10", "12 ft", "1.2.3", "nan", "--4", ".", ",", "-",
                             "1,35,0", "1 35", "1,,350", "1.350,000.5", "12,34,567,890",
                             "123456789012345678901"}) {
      CAPTURE(text);
      CHECK(readings_of(text).empty());
    }
  }

  TEST_CASE("a field says which reading is possible") {
    using State = TypedNumber::State;
    const auto typed = [](const char* text, orchard::Range range, bool whole = false) {
      return typed_number(text, range, whole);
    };
    CHECK(typed("1,000", {1, 5000}, true).value == 1000);
    CHECK(typed("1,350", {1, 5000}, true).value == 1350);
    CHECK(typed("1.350", {1, 5000}, true).value == 1350);
    CHECK(typed("1,000", {1, 200}, true).state == State::outside);
    CHECK(typed("1,35", {1, 5000}, true).state == State::no_number);
    CHECK(typed("1,350", {0.5, 20}).value == doctest::Approx(1.35));
    CHECK(typed("1,350", {100, 2000}).value == 1350);
    const TypedNumber both = typed("1,350", {0.001, 1e6});
    CHECK(both.state == State::either);
    CHECK(both.value == 1350);
    CHECK(both.second == doctest::Approx(1.35));
    CHECK(typed(" ", {0, 1}).state == State::empty);
  }

  TEST_CASE("a number for a field has the language's sign and one reading") {
    stage::languages();
    widgets::choose_language("en");
    CHECK(field_number(3.50, 2) == "3.5");
    CHECK(field_number(140, 0) == "140");
    CHECK(unmistakable_number(1.35) == "1.35");
    for (const std::string& language : stage::languages()) {
      widgets::choose_language(language);
      for (const double value : {1.001, 1350.0, 12.125, 1001.0}) {
        CHECK(readings_of(unmistakable_number(value)) == Readings{value});
      }
    }
    widgets::choose_language("fr");
    CHECK(field_number(3.50, 2) == "3,5");
    widgets::choose_language("en");
  }

  TEST_CASE("one comma made a yield of 1 of a yield of 1,000: it is asked about") {
    Phone phone = new_block();
    REQUIRE(phone.tap("block//way/1"));
    REQUIRE(phone.type(yields, "1,000"));
    CHECK(phone.shows("“1,000” can be 1000 or 1. Tap the one you mean."));
    REQUIRE(phone.tap(yields + "/first"));
    CHECK(phone.session.fields[yields] == "1000");
    CHECK_FALSE(phone.shows("Tap the one you mean."));
    REQUIRE(phone.type(yields, "1,350"));
    REQUIRE(phone.tap(yields + "/second"));
    CHECK(phone.session.fields[yields] == "1.35");
  }

  TEST_CASE("the button of a form that cannot be kept seemed dead: it says how many are wrong") {
    Phone phone = new_block();
    REQUIRE(phone.tap("keep"));
    CHECK_FALSE(phone.last<SaveRecords>());
    CHECK(phone.session.fields_wrong > 3);
    CHECK(phone.shows("Keep this block: " + std::to_string(phone.session.fields_wrong) +
                      " fields to mend"));
    const int before = phone.session.fields_wrong;
    REQUIRE(phone.type("block//name", "North"));
    CHECK(phone.session.fields_wrong == before - 1);
  }

  TEST_CASE("the first wrong field of a long form comes into view") {
    Phone phone = new_block();
    for (const char* field : {"name", "variety", "rows", "trees", "row_m", "tree_m", "limbs", "fruits"}) {
      REQUIRE(phone.type(std::string("block//") + field, "12"));
    }
    REQUIRE(phone.type(rows, "twelve"));
    phone.frame().ui().scroll_by(1e6f);
    phone.look();
    const auto in_view = [&] {
      const widgets::Control* field = phone.frame().find(rows);
      return field->rect.y >= phone.frame().ui().view().y && field->rect.bottom() <= phone.frame().ui().view().bottom();
    };
    CHECK_FALSE(in_view());
    REQUIRE(phone.tap("keep"));
    CHECK(in_view());
    CHECK(phone.shows("Keep this block: 1 field to mend"));
  }
}
