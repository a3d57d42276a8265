// SPDX-License-Identifier: Apache-2.0
//
// The app's words. One flat JSON object a language: "count.save": "Save". A new language is one
// more file; nothing is compiled in.
//
// Not a grammar: a text with a number may have two forms, "key.one" and "key.other"; tr_count
// picks. A word in a text may follow a number in it: "take {n} {n|limb|limbs}".
// A key that is missing in the language is taken from English; one that is missing there shows as
// ⟦key⟧ and is remembered in missing_keys(), which the tests demand to be empty.
// A language may be expected: it is listed by its name, and chosen only once its texts have come.
// Or it is here with its first texts alone: the others are asked for at the first key that is not
// among them; where they cannot be had, "…" stands in their place until they come.
// "language.name" is the language's own name, "format.decimal" and "format.group" its number marks.
//
//   tr("count.tree", {{"row", "4"}, {"tree", "17"}})   "Row 4, tree 17"
//   tr_count("day.trees", 3)                            "3 trees"
//   number(1234.5, 1)                                   "1,234.5" or "1 234,5"
#pragma once

#include <concepts>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.h"

namespace nthtree::widgets {

using Arguments = std::vector<std::pair<std::string_view, std::string>>;

// Texts of a language by which `key` may be found, as Language::read takes them; empty where there
// is no answer.
using RestOfTexts = std::string (*)(std::string_view key);

class Language {
 public:
  // json: one flat object of strings. Fails with "not_a_language" where it is anything else.
  static base::Result<Language> parse(std::string_view code, std::string_view json);
  // As the page hands a language over: key and text by turns, each ended by U+001D, which no text
  // holds. Fails with "not_a_language" where an end or a text is missing. A start waits for it, and
  // to read JSON without trust takes six times as long.
  static base::Result<Language> read(std::string_view code, std::string_view texts);

  // Known by name alone; its texts are still to come.
  static Language expected(std::string_view code, std::string_view name);

  void expect_rest(RestOfTexts rest) { rest_ = rest; }
  // Asks for the rest and adds it: a text found before stays where it is.
  void ask_for(std::string_view key);

  const std::string& code() const { return code_; }  // "en", "es"
  bool has_come() const { return has_come_; }
  bool is_whole() const { return rest_ == nullptr; }
  const std::string& name() const;                   // in the language itself
  const std::string* find(std::string_view key) const;
  const std::map<std::string, std::string, std::less<>>& texts() const { return texts_; }

 private:
  std::string code_;
  bool has_come_ = true;
  RestOfTexts rest_ = nullptr;
  std::map<std::string, std::string, std::less<>> texts_;
};

// The languages known to the program. Adding one with a code that is there replaces it; one that
// is only expected never replaces its texts.
void add_language(Language language);
std::vector<std::string> language_codes();           // in the order they were added
std::vector<std::string> languages_here();           // those whose texts have come
std::string language_name(std::string_view code);
// Chooses by BCP 47 tag: "es-MX" finds "es"; an unknown tag gives English. Where the texts of that
// language have not come, the one in use stays. Returns the code in use.
std::string choose_language(std::string_view tag);
const std::string& current_language();

std::string tr(std::string_view key, const Arguments& arguments = {});
// Takes key.one where count is 1, else key.other; {n} is the count, formatted.
std::string tr_count(std::string_view key, long count, Arguments arguments = {});
bool has_text(std::string_view key);

// Decimal and grouping marks of the current language; minus is U+2212.
std::string number(double value, int decimals = 0);
template <std::integral Whole>
std::string number(Whole value) {
  return number(static_cast<double>(value), 0);
}
std::string signed_number(double value, int decimals = 0);  // "+12", "−3", "0"
std::string percent(double share, int decimals = 0);        // 0.4 -> "40 %"

const std::set<std::string>& missing_keys();  // asked for and nowhere found, since the start
void forget_missing_keys();

}  // namespace nthtree::widgets
