// SPDX-License-Identifier: Apache-2.0
#include "widgets/language.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <optional>
#include <string>

#include "base/json_text.h"
#include "base/text.h"
#include "widgets/any_script.h"

namespace nthtree::widgets {
namespace {

struct Words {
  std::vector<Language> languages;
  std::string current = "en";  // a code
  std::set<std::string> missing;
};

// The one place of state in this library that is not handed around: every word on every screen
// would otherwise carry the language as an argument, and there is only ever one.
Words& words() {
  static Words all;
  return all;
}

Language* language_with(std::string_view code) {
  for (Language& language : words().languages) {
    if (language.code() == code) return &language;
  }
  return nullptr;
}

bool can_use(const Language* language) { return language && language->has_come(); }

const std::string* lookup_in(std::string_view code, std::string_view key) {
  Language* language = language_with(code);
  if (!language) return nullptr;
  const std::string* text = language->find(key);
  if (text || language->is_whole()) return text;
  language->ask_for(key);
  return language->find(key);
}

const std::string* lookup(std::string_view key) {
  const std::string* text = lookup_in(words().current, key);
  return text ? text : lookup_in("en", key);
}

bool texts_are_coming() {
  return std::any_of(words().languages.begin(), words().languages.end(),
                     [](const Language& language) { return !language.is_whole(); });
}

std::string mark(std::string_view key, const char* otherwise) {
  const std::string* text = lookup(key);
  return text ? *text : otherwise;
}

const std::string* argument(const Arguments& arguments, std::string_view name) {
  for (const auto& [key, value] : arguments) {
    if (key == name) return &value;
  }
  return nullptr;
}

bool takes_one(const std::string& value) {
  return value == "1" || (value == "0" && mark("format.zero_takes", "other") == "one");
}

// What stands between braces: "n" is the argument itself, "n|limb|limbs" the word that goes with
// it. Nothing where no argument has that name.
std::optional<std::string> filled(std::string_view inside, const Arguments& arguments) {
  const std::size_t bar = inside.find('|');
  const std::string* value = argument(arguments, inside.substr(0, bar));
  if (!value) return std::nullopt;
  if (bar == std::string_view::npos) return isolated(*value);
  const std::string_view words = inside.substr(bar + 1);
  const std::size_t between = words.find('|');
  if (between == std::string_view::npos) return std::string(words);
  return std::string(takes_one(*value) ? words.substr(0, between) : words.substr(between + 1));
}

std::string fill(const std::string& text, const Arguments& arguments) {
  std::string out;
  out.reserve(text.size() + 16);
  for (std::size_t i = 0; i < text.size(); ++i) {
    const std::size_t end = text[i] == '{' ? text.find('}', i) : std::string::npos;
    if (end != std::string::npos) {
      const std::string_view inside(text.data() + i + 1, end - i - 1);
      if (const auto words = filled(inside, arguments)) {
        out += *words;
        i = end;
        continue;
      }
    }
    out += text[i];
  }
  return out;
}

}  // namespace

base::Result<Language> Language::parse(std::string_view code, std::string_view json) {
  const auto object = base::parse_json(json, {});
  if (!object || !object->is_object()) {
    return base::Error{"not_a_language", "A language file is one JSON object of texts.",
                       std::string(code)};
  }
  Language language;
  language.code_ = code;
  for (const auto& [key, value] : object->items()) {
    if (!value.is_string()) {
      return base::Error{"not_a_language", "Every entry of a language file is a text.",
                         std::string(code) + "." + key};
    }
    language.texts_.emplace(key, value.get_ref<const std::string&>());
  }
  return language;
}

base::Result<Language> Language::read(std::string_view code, std::string_view texts) {
  constexpr char end = '\x1d';
  Language language;
  language.code_ = code;
  const auto next = [&texts]() -> std::optional<std::string_view> {
    const std::size_t at = texts.find(end);
    if (at == std::string_view::npos) return std::nullopt;
    const std::string_view piece = texts.substr(0, at);
    texts.remove_prefix(at + 1);
    return piece;
  };
  while (!texts.empty()) {
    const auto key = next(), text = next();
    if (!key || !text) {
      return base::Error{"not_a_language", "A language is keys and texts by turns, each ended.",
                         std::string(code)};
    }
    language.texts_.emplace(*key, *text);
  }
  return language;
}

Language Language::expected(std::string_view code, std::string_view name) {
  Language language;
  language.code_ = code;
  language.has_come_ = false;
  language.texts_.emplace("language.name", name);
  return language;
}

void Language::ask_for(std::string_view key) {
  const std::string texts = rest_(key);
  if (texts.empty()) return;
  auto others = read(code_, texts);
  if (others) texts_.merge(others->texts_);
}

const std::string& Language::name() const {
  const std::string* text = find("language.name");
  return text ? *text : code_;
}

const std::string* Language::find(std::string_view key) const {
  const auto it = texts_.find(key);
  return it == texts_.end() ? nullptr : &it->second;
}

void add_language(Language language) {
  Language* known = language_with(language.code());
  if (!known) {
    words().languages.push_back(std::move(language));
  } else if (language.has_come() || !known->has_come()) {
    *known = std::move(language);
  }
}

std::vector<std::string> language_codes() {
  std::vector<std::string> codes;
  for (const Language& language : words().languages) codes.push_back(language.code());
  return codes;
}

std::vector<std::string> languages_here() {
  std::vector<std::string> codes;
  for (const Language& language : words().languages) {
    if (language.has_come()) codes.push_back(language.code());
  }
  return codes;
}

std::string language_name(std::string_view code) {
  const Language* language = language_with(code);
  return language ? language->name() : std::string(code);
}

std::string choose_language(std::string_view tag) {
  const std::string_view base = tag.substr(0, tag.find_first_of("-_"));
  std::string& current = words().current;
  for (std::string_view code : {tag, base, std::string_view("en")}) {
    const Language* wanted = language_with(code);
    if (can_use(wanted)) return current = wanted->code();
    if (wanted && can_use(language_with(current))) return current;
  }
  const std::vector<std::string> here = languages_here();
  return current = here.empty() ? "en" : here.front();
}

const std::string& current_language() { return words().current; }

std::string tr(std::string_view key, const Arguments& arguments) {
  if (const std::string* text = lookup(key)) return fill(*text, arguments);
  if (texts_are_coming()) return "…";
  words().missing.insert(std::string(key));
  return "⟦" + std::string(key) + "⟧";
}

std::string tr_count(std::string_view key, long count, Arguments arguments) {
  arguments.emplace_back("n", number(count));
  return tr(std::string(key) + (count == 1 ? ".one" : ".other"), arguments);
}

bool has_text(std::string_view key) { return lookup(key) != nullptr; }

std::string number(double value, int decimals) {
  std::string text = base::print("%.*f", decimals, std::fabs(value));
  std::string fraction;
  if (const std::size_t dot = text.find('.'); dot != std::string::npos) {
    fraction = mark("format.decimal", ".") + text.substr(dot + 1);
    text.resize(dot);
  }
  // Four digits stay together: 1200 spurs is read faster than 1,200.
  const std::string group = mark("format.group", ",");
  if (text.size() > 4) {
    for (std::size_t at = text.size(); at > 3;) {
      at -= 3;
      text.insert(at, group);
    }
  }
  const bool zero = text.find_first_not_of("0") == std::string::npos &&
                    fraction.find_first_of("123456789") == std::string::npos;
  return (value < 0 && !zero ? "−" : "") + text + fraction;
}

std::string signed_number(double value, int decimals) {
  const std::string text = number(value, decimals);
  const bool positive = value > 0 && text.find_first_of("123456789") != std::string::npos;
  return positive ? "+" + text : text;
}

std::string percent(double share, int decimals) {
  return number(share * 100, decimals) + mark("format.percent", "\u00a0%");
}

const std::set<std::string>& missing_keys() { return words().missing; }
void forget_missing_keys() { words().missing.clear(); }

}  // namespace nthtree::widgets
