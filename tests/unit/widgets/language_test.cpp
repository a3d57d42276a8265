// SPDX-License-Identifier: Apache-2.0
#include "widgets/language.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

using namespace nthtree::widgets;

namespace {

void two_languages() {
  auto english = Language::parse("en", R"({"language.name": "English", "hello": "Hello {name}",
    "trees.one": "{n} tree", "trees.other": "{n} trees", "only.english": "here",
    "format.decimal": ".", "format.group": ","})");
  auto spanish = Language::parse("es", R"({"language.name": "Español", "hello": "Hola {name}",
    "trees.one": "{n} árbol", "trees.other": "{n} árboles",
    "format.decimal": ",", "format.group": "."})");
  REQUIRE(english.ok());
  REQUIRE(spanish.ok());
  add_language(std::move(english.value()));
  add_language(std::move(spanish.value()));
  forget_missing_keys();
}

}  // namespace

TEST_SUITE("widgets") {
  TEST_CASE("a text is found in the language chosen, and placeholders are filled") {
    two_languages();
    CHECK(choose_language("es-MX") == "es");
    CHECK(tr("hello", {{"name", "Ana"}}) == "Hola Ana");
    CHECK(choose_language("en") == "en");
    CHECK(tr("hello", {{"name", "Ana"}}) == "Hello Ana");
    CHECK(tr("hello") == "Hello {name}");
  }

  TEST_CASE("a text that had not come is asked for at once, in the language in use") {
    two_languages();
    auto spanish = Language::parse("es", R"({"language.name": "Español"})");
    REQUIRE(spanish.ok());
    static std::vector<std::string> asked;
    asked.clear();
    spanish->expect_rest([](std::string_view key) -> std::string {
      asked.emplace_back(key);
      return "hello\x1dHola {name}\x1d";
    });
    add_language(std::move(spanish.value()));
    choose_language("es");
    CHECK(tr("hello", {{"name", "Ana"}}) == "Hola Ana");
    CHECK(tr("hello", {{"name", "Ana"}}) == "Hola Ana");
    CHECK(asked == std::vector<std::string>{"hello"});
  }

  TEST_CASE("a text that has not come and cannot be had now never shows as its key") {
    two_languages();
    auto french = Language::parse("fr", R"({"language.name": "Français"})");
    REQUIRE(french.ok());
    french->expect_rest([](std::string_view) -> std::string { return ""; });
    add_language(std::move(french.value()));
    choose_language("fr");
    CHECK(tr("no.such.text") == "…");
    CHECK(missing_keys().empty());
    auto whole = Language::parse("fr", R"({"language.name": "Français", "hello": "Salut {name}"})");
    REQUIRE(whole.ok());
    add_language(std::move(whole.value()));
    CHECK(tr("hello", {{"name", "Ana"}}) == "Salut Ana");
    CHECK(tr("no.such.text") == "⟦no.such.text⟧");
  }

  TEST_CASE("one and other forms are told apart by the count") {
    two_languages();
    choose_language("es");
    CHECK(tr_count("trees", 1) == "1 árbol");
    CHECK(tr_count("trees", 0) == "0 árboles");
    CHECK(tr_count("trees", 12345) == "12.345 árboles");
  }

  TEST_CASE("\"1 limbs\": a word follows the number it belongs to") {
    auto english = Language::parse("en", R"({"take": "take {n} {n|limb|limbs} in {h} {h|hour|hours}",
      "odd": "{x|a|b} {n|one}"})");
    auto french = Language::parse("fr", R"({"take": "{n} {n|branche|branches}",
      "format.zero_takes": "one"})");
    REQUIRE(english.ok());
    REQUIRE(french.ok());
    add_language(std::move(english.value()));
    add_language(std::move(french.value()));
    choose_language("en");
    CHECK(tr("take", {{"n", "1"}, {"h", "2"}}) == "take 1 limb in 2 hours");
    CHECK(tr("take", {{"n", "0"}, {"h", "1"}}) == "take 0 limbs in 1 hour");
    CHECK(tr("take", {{"n", "1½"}, {"h", "11"}}) == "take 1½ limbs in 11 hours");
    CHECK(tr("odd", {{"n", "1"}}) == "{x|a|b} one");  // no argument of that name
    choose_language("fr");
    CHECK(tr("take", {{"n", "0"}}) == "0 branche");
    CHECK(tr("take", {{"n", "2"}}) == "2 branches");
    two_languages();
  }

  TEST_CASE("a missing text comes from English, and one missing there is visible and remembered") {
    two_languages();
    choose_language("es");
    CHECK(tr("only.english") == "here");
    CHECK(missing_keys().empty());
    CHECK(tr("nowhere") == "⟦nowhere⟧");
    CHECK(missing_keys().count("nowhere") == 1);
  }

  TEST_CASE("an unknown tag gives English") {
    two_languages();
    CHECK(choose_language("zz-ZZ") == "en");
    CHECK(language_name("es") == "Español");
  }

  TEST_CASE("a language that is only expected is listed, and never takes the words away") {
    two_languages();
    choose_language("es-MX");
    add_language(Language::expected("pt", "Português"));
    CHECK(language_name("pt") == "Português");
    const auto here = languages_here(), known = language_codes();
    CHECK(std::count(known.begin(), known.end(), "pt") == 1);
    CHECK(std::count(here.begin(), here.end(), "pt") == 0);
    CHECK(choose_language("pt-BR") == "es");  // stays, rather than English
    CHECK(tr("hello", {{"name", "Ana"}}) == "Hola Ana");

    add_language(std::move(Language::parse("pt", R"({"hello": "Olá {name}"})").value()));
    add_language(Language::expected("pt", "Português"));  // late: the texts stay
    CHECK(choose_language("pt-BR") == "pt");
    CHECK(tr("hello", {{"name", "Ana"}}) == "Olá Ana");
    choose_language("en");
  }

  TEST_CASE("numbers are written the way of the language") {
    two_languages();
    choose_language("en");
    CHECK(number(1234.5, 1) == "1234.5");
    CHECK(number(12345.0) == "12,345");
    CHECK(number(1234567.0) == "1,234,567");
    CHECK(number(-3.0) == "−3");
    CHECK(number(-0.2) == "0");
    CHECK(signed_number(12) == "+12");
    CHECK(signed_number(0.2) == "0");
    CHECK(percent(0.4) == "40\u00a0%");
    choose_language("es");
    CHECK(number(12345.25, 2) == "12.345,25");
  }

  TEST_CASE("what is not a flat object of texts is refused with its place") {
    CHECK(Language::read("xx", "a\x1d" "b\x1d" "c\x1d").error().id == "not_a_language");
    CHECK(Language::read("xx", "a\x1d" "b").error().where == "xx");
    CHECK(Language::parse("xx", "[1]").error().id == "not_a_language");
    CHECK(Language::parse("xx", "{").error().id == "not_a_language");
    CHECK(Language::parse("xx", R"({"a": {"b": "c"}})").error().where == "xx.a");
  }
}
