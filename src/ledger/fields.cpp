// SPDX-License-Identifier: Apache-2.0
#include "ledger/fields.h"

#include <cmath>

#include "base/text.h"
#include "ledger/json_text.h"

namespace nthtree::ledger {
namespace {

using nlohmann::json;

std::string length_text(std::size_t length, std::size_t low, std::size_t high) {
  return base::print("%zu bytes long: %zu to %zu are allowed", length, low, high);
}

std::string choices_text(const std::string& value, const Choices& choices) {
  std::string text = json_quoted(value) + " is not known: allowed are";
  for (std::size_t i = 0; i < choices.size(); ++i) {
    text += (i ? ", " : " ") + std::string(choices[i]);
  }
  return text;
}

// The value as it stands in the file, short enough for a message.
std::string shown(const json& value) {
  if (value.is_structured()) return value.is_array() ? "a list" : "an object";
  std::string text = value.dump(-1, ' ', false, json::error_handler_t::replace);
  // Never cut inside a character.
  constexpr std::size_t shown_bytes_max = 40;
  if (text.size() > shown_bytes_max) {
    std::size_t cut = shown_bytes_max;
    while (cut > 0 && (static_cast<unsigned char>(text[cut]) & 0xc0) == 0x80) --cut;
    text = text.substr(0, cut) + "…";
  }
  return text;
}

}  // namespace

FieldReader::FieldReader(const json& object, std::string path)
    : object_(&object), path_(std::move(path)) {
  if (!object.is_object()) {
    error_ = base::Error{"wrong_type", shown(object) + " stands where an object must be", path_};
  }
}

bool FieldReader::has(const char* name) const {
  return object_->is_object() && object_->contains(name);
}

void FieldReader::fail(const char* name, const char* id, std::string what) {
  if (failed()) return;
  error_ = base::Error{id, std::move(what), path_.empty() ? name : path_ + "." + name};
}

void FieldReader::demand(bool holds, const char* name, const char* id, std::string what) {
  if (!holds) fail(name, id, std::move(what));
}

const json* FieldReader::find(const char* name, bool required) {
  if (failed()) return nullptr;
  const auto found = object_->find(name);
  if (found != object_->end()) return &*found;
  if (required) fail(name, "missing_field", "is missing");
  return nullptr;
}

void FieldReader::text(const char* name, std::string& out, std::size_t bytes_max,
                       std::size_t bytes_min) {
  const json* value = find(name, true);
  if (!value) return;
  if (!value->is_string()) return fail(name, "wrong_type", shown(*value) + " is not a text");
  const auto& text = value->get_ref<const std::string&>();
  if (text.size() < bytes_min || text.size() > bytes_max) {
    return fail(name, "too_long", length_text(text.size(), bytes_min, bytes_max));
  }
  out = text;
}

void FieldReader::text_or(const char* name, std::string& out, std::size_t bytes_max) {
  if (!failed() && has(name)) text(name, out, bytes_max, 0);
}

std::optional<double> FieldReader::as_number(const char* name, const json& value, Range range) {
  if (!value.is_number()) {
    fail(name, "wrong_type", shown(value) + " is not a number");
    return std::nullopt;
  }
  const double number = value.get<double>();
  if (!range.holds(number)) {
    fail(name, "out_of_range", orchard::outside_text(number, range));
    return std::nullopt;
  }
  return number;
}

std::optional<int> FieldReader::as_integer(const char* name, const json& value, Range range) {
  const auto number = as_number(name, value, range);
  if (!number) return std::nullopt;
  if (*number != std::floor(*number)) {
    fail(name, "wrong_type", shown(value) + " is not a whole number");
    return std::nullopt;
  }
  return static_cast<int>(*number);
}

void FieldReader::integer(const char* name, int& out, Range range) {
  const json* value = find(name, true);
  if (!value) return;
  if (const auto number = as_integer(name, *value, range)) out = *number;
}

void FieldReader::integer_or(const char* name, int& out, Range range) {
  if (!failed() && has(name)) integer(name, out, range);
}

void FieldReader::integer_or(const char* name, std::optional<int>& out, Range range) {
  if (failed() || !has(name)) return;
  int number = 0;
  integer(name, number, range);
  if (!failed()) out = number;
}

void FieldReader::number(const char* name, double& out, Range range) {
  const json* value = find(name, true);
  if (!value) return;
  if (const auto number = as_number(name, *value, range)) out = *number;
}

void FieldReader::number_or(const char* name, double& out, Range range) {
  if (!failed() && has(name)) number(name, out, range);
}

void FieldReader::number_or(const char* name, std::optional<double>& out, Range range) {
  if (failed() || !has(name)) return;
  double value = 0;
  number(name, value, range);
  if (!failed()) out = value;
}

void FieldReader::flag_or(const char* name, bool& out) {
  const json* value = find(name, false);
  if (!value) return;
  if (!value->is_boolean()) {
    return fail(name, "wrong_type", shown(*value) + " is neither true nor false");
  }
  out = value->get<bool>();
}

void FieldReader::integers_or(const char* name, std::vector<int>& out,
                              std::size_t items_max, Range range) {
  const json* value = find(name, false);
  if (!value) return;
  if (!value->is_array()) return fail(name, "wrong_type", shown(*value) + " is not a list");
  if (value->size() > items_max) {
    return fail(name, "too_long",
                base::print("%zu items: at most %zu are allowed", value->size(), items_max));
  }
  std::vector<int> numbers;
  for (const json& item : *value) {
    const auto number = as_integer(name, item, range);
    if (!number) return;
    numbers.push_back(*number);
  }
  out = std::move(numbers);
}

bool FieldReader::choice_index(const char* name, int& index, const Choices& choices) {
  const json* value = find(name, true);
  if (!value) return false;
  if (!value->is_string()) {
    fail(name, "wrong_type", shown(*value) + " is not a text");
    return false;
  }
  const auto& text = value->get_ref<const std::string&>();
  for (std::size_t i = 0; i < choices.size(); ++i) {
    if (text == choices[i]) {
      index = static_cast<int>(i);
      return true;
    }
  }
  fail(name, "unknown_choice", choices_text(text, choices));
  return false;
}

void FieldWriter::fail(const char* name, const char* id, std::string what) {
  if (!failed()) error_ = base::Error{id, std::move(what), name};
}

void FieldWriter::demand(bool holds, const char* name, const char* id, std::string what) {
  if (!holds) fail(name, id, std::move(what));
}

void FieldWriter::raw(const char* name, const std::string& json) {
  if (!text_.empty()) text_ += ',';
  text_ += '"';
  text_ += name;
  text_ += "\":";
  text_ += json;
}

void FieldWriter::text(const char* name, const std::string& value, std::size_t bytes_max,
                       std::size_t bytes_min) {
  if (value.size() < bytes_min || value.size() > bytes_max) {
    fail(name, "too_long", length_text(value.size(), bytes_min, bytes_max));
  } else if (!base::is_utf8(value)) {
    fail(name, "wrong_type", "is not UTF-8 text");
  }
  raw(name, json_quoted(value));
}

void FieldWriter::text_or(const char* name, const std::string& value, std::size_t bytes_max) {
  if (!value.empty()) text(name, value, bytes_max, 0);
}

void FieldWriter::integer(const char* name, int value, Range range) {
  if (!range.holds(value)) fail(name, "out_of_range", orchard::outside_text(value, range));
  raw(name, base::print("%d", value));
}

void FieldWriter::integer_or(const char* name, int value, Range range) {
  integer(name, value, range);
}

void FieldWriter::integer_or(const char* name, const std::optional<int>& value, Range range) {
  if (value) integer(name, *value, range);
}

void FieldWriter::number(const char* name, double value, Range range) {
  if (!range.holds(value)) fail(name, "out_of_range", orchard::outside_text(value, range));
  raw(name, base::shortest(value));
}

void FieldWriter::number_or(const char* name, double value, Range range) {
  number(name, value, range);
}

void FieldWriter::number_or(const char* name, const std::optional<double>& value, Range range) {
  if (value) number(name, *value, range);
}

void FieldWriter::flag_or(const char* name, bool value) { raw(name, value ? "true" : "false"); }

void FieldWriter::integers_or(const char* name, const std::vector<int>& values,
                              std::size_t items_max, Range range) {
  if (values.empty()) return;
  if (values.size() > items_max) {
    fail(name, "too_long",
         base::print("%zu items: at most %zu are allowed", values.size(), items_max));
  }
  std::string list;
  for (const int value : values) {
    if (!range.holds(value)) fail(name, "out_of_range", orchard::outside_text(value, range));
    list += (list.empty() ? "" : ",") + base::print("%d", value);
  }
  raw(name, "[" + list + "]");
}

}  // namespace nthtree::ledger
