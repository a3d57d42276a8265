// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/form.h"

#include <cmath>
#include <cstdlib>

#include "base/text.h"
#include "ledger/body_fields.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::string trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return "";
  return std::string(text.substr(first, text.find_last_not_of(" \t") - first + 1));
}

int letters_in(const std::string& text) {
  int letters = 0;
  for (char c : text) letters += (static_cast<unsigned char>(c) & 0xC0) != 0x80;
  return letters;
}

std::string allowed(const char* key, const std::string& value, const NumberField& field) {
  return tr(key, {{"value", value},
                  {"low", short_number(field.range.low)},
                  {"high", short_number(field.range.high)}});
}

}  // namespace

std::optional<double> parse_number(std::string_view text) {
  std::string plain = trimmed(text);
  for (char& c : plain) {
    if (c == ',') c = '.';
    if (!(c == '.' || c == '-' || (c >= '0' && c <= '9'))) return std::nullopt;
  }
  if (plain.empty() || plain.size() > 20) return std::nullopt;
  char* end = nullptr;
  const double value = std::strtod(plain.c_str(), &end);
  if (end != plain.c_str() + plain.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

std::string field_number(double value, int decimals) {
  std::string text = base::print("%.*f", decimals, value);
  if (text.find('.') == std::string::npos) return text;
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

std::string Form::standing(const std::string& id, const std::string& value) const {
  const auto typed = scene_.session.fields.find(id);
  return typed == scene_.session.fields.end() ? value : typed->second;
}

double roundest(double value, double slack) {
  for (const double scale : {1.0, 10.0}) {
    const double rounded = std::round(value * scale) / scale;
    if (std::fabs(rounded - value) <= slack) return rounded;
  }
  return std::round(value * 100) / 100;
}

std::optional<double> Form::number(const NumberField& field) {
  const std::string shown =
      standing(field.id, field.value ? field_number(*field.value, field.decimals) : "");
  const std::optional<double> value = parse_number(shown);
  const bool is_empty = trimmed(shown).empty();
  std::string error;
  bool fits = true;
  if (is_empty) {
    fits = field.optional;
    if (!fits && scene_.session.fields_tried) error = allowed("edit.error.empty", "", field);
  } else if (!value || (field.decimals == 0 && *value != std::floor(*value))) {
    fits = false;
    error = allowed("edit.error.number", trimmed(shown), field);
  } else if (!field.range.holds(*value)) {
    fits = false;
    error = allowed("edit.error.range", trimmed(shown), field);
  }
  if (auto typed = text_field(scene_.ui, {.id = field.id,
                                          .label = field.label,
                                          .value = shown,
                                          .hint = field.hint,
                                          .error = error,
                                          .numeric = true})) {
    scene_.want(SetField{field.id, *typed});
  }
  if (!field.hint.empty()) small_print(scene_.ui, field.hint);
  if (!fits) fail();
  return fits && !is_empty ? value : std::nullopt;
}

std::string Form::text(const TextLine& line) {
  const std::string shown = standing(line.id, line.value);
  const std::string value = trimmed(shown);
  std::string error;
  if (value.empty() && !line.optional) {
    fail();
    if (scene_.session.fields_tried) error = tr("edit.error.name");
  } else if (letters_in(value) > line.letters_max || value.size() > ledger::name_bytes_max) {
    fail();
    error = tr("edit.error.name_long",
               {{"value", value.substr(0, 24)}, {"high", std::to_string(line.letters_max)}});
  }
  if (auto typed = text_field(scene_.ui, {.id = line.id,
                                          .label = line.label,
                                          .value = shown,
                                          .hint = line.hint,
                                          .error = error})) {
    scene_.want(SetField{line.id, *typed});
  }
  return value;
}

std::string Form::date(const TextLine& line) {
  const std::string shown = standing(line.id, line.value);
  std::int64_t at_ms = 0;
  std::string error;
  const bool is_day = shown.size() == 10 && base::parse_iso(shown, at_ms);
  if (!shown.empty() && !is_day) {
    fail();
    error = tr("edit.error.date", {{"value", shown}});
  }
  const std::string said = is_day ? date_text(at_ms / 86400000) : shown;
  if (auto typed = date_field(
          scene_.ui,
          {.id = line.id, .label = line.label, .value = shown, .shown = said, .error = error})) {
    scene_.want(SetField{line.id, *typed});
  }
  return is_day ? shown : "";
}

int Form::choice(const std::string& id, const std::string& label,
                 const std::vector<std::string>& items, int value) {
  const int selected = std::atoi(standing(id, std::to_string(value)).c_str());
  std::vector<widgets::Choice> choices;
  for (std::size_t i = 0; i < items.size(); ++i) {
    choices.push_back({id + "/" + std::to_string(i), items[i]});
  }
  const int chosen =
      segments(scene_.ui, {.id = id, .label = label, .items = choices, .selected = selected});
  if (chosen != selected) scene_.want(SetField{id, std::to_string(chosen)});
  return selected;
}

int Form::list(const std::string& id, const std::string& label,
               const std::vector<std::string>& items, int value) {
  const int selected = std::atoi(standing(id, std::to_string(value)).c_str());
  std::vector<widgets::ChoiceRow> rows;
  for (std::size_t i = 0; i < items.size(); ++i) {
    rows.push_back({.id = id + "/" + std::to_string(i), .label = items[i]});
  }
  const int chosen =
      radio_list(scene_.ui, {.id = id, .label = label, .items = rows, .selected = selected});
  if (chosen != selected) scene_.want(SetField{id, std::to_string(chosen)});
  return selected;
}

bool Form::flag(const std::string& id, const std::string& label, bool value) {
  const bool on = standing(id, value ? "1" : "0") == "1";
  if (toggle(scene_.ui, {.id = id, .label = label, .on = on})) {
    scene_.want(SetField{id, on ? "0" : "1"});
  }
  return on;
}

void Form::keep(ledger::Body body) {
  if (!ok_) return scene_.want(TryFields{});
  SaveRecords save;
  save.bodies = {std::move(body)};
  save.from = SaveRecords::From::fields;
  scene_.want(save);
}

}  // namespace nthtree::screens
