// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/form.h"

#include <cmath>
#include <cstdlib>

#include "base/clock.h"
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

std::string error_of(const TypedNumber& typed, const std::string& shown,
                     const NumberField& field) {
  using State = TypedNumber::State;
  switch (typed.state) {
    case State::empty: return allowed("edit.error.empty", "", field);
    case State::no_number: return allowed("edit.error.number", trimmed(shown), field);
    case State::outside: return allowed("edit.error.range", trimmed(shown), field);
    case State::either:
      return tr("edit.error.either", {{"value", trimmed(shown)},
                                      {"first", widgets::number(typed.value)},
                                      {"second", field_number(typed.second, 3)}});
    case State::fits: break;
  }
  return "";
}

}  // namespace

std::string keep_label(const Frame& frame, const std::string& label) {
  const Session& session = frame.session;
  if (!session.fields_tried || session.fields_wrong == 0) return label;
  return tr_count("edit.wrong", session.fields_wrong, {{"label", label}});
}

Form::~Form() {
  if (tried() && frame_.session.fields_wrong != wrong_.count) {
    frame_.want(TryFields{wrong_.count});
  }
}

void Form::fail(const std::string& id, const std::string& label, const std::string& error) {
  if (wrong_.count++ > 0) return;
  wrong_.first = id;
  wrong_.words = label + ": " + error;
}

void Form::show_wrong() {
  frame_.want(TryFields{wrong_.count});
  frame_.ui.reveal(wrong_.first);
  frame_.ui.announce(wrong_.words, true);
}

std::string Form::standing(const std::string& id, const std::string& value) const {
  return frame_.typed(id, value);
}

double roundest(double value, double slack) {
  for (const double scale : {1.0, 10.0}) {
    const double rounded = std::round(value * scale) / scale;
    if (std::fabs(rounded - value) <= slack) return rounded;
  }
  return std::round(value * 100) / 100;
}

// "1,350" may be two numbers: a tap says which.
void Form::ask_which(const NumberField& field, const TypedNumber& typed) {
  const auto offer = [&](const char* which, const std::string& label, double value) {
    if (button(frame_.ui, {.id = field.id + which, .label = label, .kind = Kind::quiet})) {
      frame_.want(SetField{field.id, unmistakable_number(value)});
    }
  };
  const std::string second = field_number(typed.second, 3);
  frame_.ui.row({1, 1}, [&] { offer("/first", widgets::number(typed.value), typed.value); },
                [&] { offer("/second", second, typed.second); });
}

std::optional<double> Form::number(const NumberField& field) {
  using State = TypedNumber::State;
  const std::string stands = field.value ? field_number(*field.value, field.decimals) : "";
  const std::string shown = standing(field.id, stands);
  TypedNumber typed = typed_number(shown, field.range, field.decimals == 0);
  // What stands was never typed, so it is never asked about.
  if (typed.state == State::either && shown == stands) typed = {State::fits, *field.value};
  const bool left_empty = typed.state == State::empty && field.optional;
  const bool wrong = typed.state != State::fits && !left_empty;
  const std::string error = wrong ? error_of(typed, shown, field) : "";
  if (wrong) fail(field.id, field.label, error);
  if (auto text = text_field(frame_.ui,
                             {.id = field.id,
                              .label = field.label,
                              .value = shown,
                              .hint = field.hint,
                              .error = typed.state == State::empty && !tried() ? "" : error,
                              .numeric = true})) {
    frame_.want(SetField{field.id, *text});
  }
  if (typed.state == State::either) ask_which(field, typed);
  if (!field.hint.empty()) small_print(frame_.ui, field.hint);
  return typed.state == State::fits ? std::optional<double>(typed.value) : std::nullopt;
}

std::string Form::text(const TextLine& line) {
  const std::string shown = standing(line.id, line.value);
  const std::string value = trimmed(shown);
  std::string error;
  if (value.empty() && !line.optional) {
    error = tr("edit.error.name");
    fail(line.id, line.label, error);
    if (!tried()) error.clear();
  } else if (letters_in(value) > line.letters_max || value.size() > line.bytes_max) {
    error = tr("edit.error.name_long",
               {{"value", value.substr(0, 24)}, {"high", std::to_string(line.letters_max)}});
    fail(line.id, line.label, error);
  }
  if (auto typed = text_field(frame_.ui, {.id = line.id,
                                          .label = line.label,
                                          .value = shown,
                                          .hint = line.hint,
                                          .error = error})) {
    frame_.want(SetField{line.id, *typed});
  }
  return value;
}

std::string Form::date(const TextLine& line) {
  const std::string shown = standing(line.id, line.value);
  std::int64_t at_ms = 0;
  std::string error;
  const bool is_day = shown.size() == 10 && base::parse_iso(shown, at_ms);
  if (!shown.empty() && !is_day) {
    error = tr("edit.error.date", {{"value", shown}});
    fail(line.id, line.label, error);
  }
  const std::string said = is_day ? date_text(at_ms / base::day_ms) : shown;
  if (auto typed = date_field(
          frame_.ui,
          {.id = line.id, .label = line.label, .value = shown, .shown = said, .error = error})) {
    frame_.want(SetField{line.id, *typed});
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
      segments(frame_.ui, {.id = id, .label = label, .items = choices, .selected = selected});
  if (chosen != selected) frame_.want(SetField{id, std::to_string(chosen)});
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
      radio_list(frame_.ui, {.id = id, .label = label, .items = rows, .selected = selected});
  if (chosen != selected) frame_.want(SetField{id, std::to_string(chosen)});
  return selected;
}

int Form::folded_list(const std::string& id, const std::string& label,
                      const std::vector<std::string>& items, int value) {
  // Opened for the choice that is to be changed, so that another one closes it.
  const std::string opened = id + "/opened", chosen = standing(id, std::to_string(value));
  const bool is_open = frame_.typed(opened) == chosen;
  const int index = std::clamp(std::atoi(chosen.c_str()), 0, static_cast<int>(items.size()) - 1);
  if (choice_row(frame_.ui, {.id = id + "/open", .label = items[static_cast<std::size_t>(index)],
                             .detail = label})) {
    frame_.want(SetField{opened, is_open ? "" : chosen});
  }
  return is_open ? list(id, label, items, value) : index;
}

bool Form::flag(const std::string& id, const std::string& label, bool value) {
  const bool on = standing(id, value ? "1" : "0") == "1";
  if (toggle(frame_.ui, {.id = id, .label = label, .on = on})) {
    frame_.want(SetField{id, on ? "0" : "1"});
  }
  return on;
}

void Form::keep(ledger::Body body) {
  if (!ok()) return show_wrong();
  SaveRecords save;
  save.bodies = {std::move(body)};
  save.from = SaveRecords::From::fields;
  frame_.want(save);
}

}  // namespace nthtree::screens
