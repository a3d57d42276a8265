// SPDX-License-Identifier: Apache-2.0
//
// Reading and writing the fields of a JSON object by one declaration. A struct's fields are named
// once, in a function template that takes any visitor with these members; FieldReader fills the
// struct, FieldWriter writes it, and the schema writer in schema.h describes it.
//
//   template <typename Visitor> void fields(Visitor& v, BeforeCount& body) {
//     v.text("block", body.block, id_bytes_max);
//     v.integer("spurs", body.spurs, limits::spurs_per_tree);
//   }
//   FieldReader reader(json, "body");
//   fields(reader, body);
//   if (reader.failed()) return reader.error();
//
// `text`, `integer`, `number` … are required fields; `…_or` keep the struct's own default where the
// field is absent. Errors: missing_field, wrong_type, out_of_range, too_long, unknown_choice.
#pragma once

#include <cstdint>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "orchard/limits.h"

namespace nthtree::ledger {

using orchard::Range;

// The spellings of an enum, in the order of its values.
using Choices = std::vector<const char*>;

class FieldReader {
 public:
  // `object` must outlive the reader. Anything but a JSON object is an error of its own.
  FieldReader(const nlohmann::json& object, std::string path);

  bool failed() const { return error_.has_value(); }
  const base::Error& error() const { return *error_; }
  bool has(const char* name) const;

  void text(const char* name, std::string& out, std::size_t bytes_max, std::size_t bytes_min = 1);
  void text_or(const char* name, std::string& out, std::size_t bytes_max);
  void integer(const char* name, int& out, Range range);
  void integer_or(const char* name, int& out, Range range);
  void integer_or(const char* name, std::optional<int>& out, Range range);
  void number(const char* name, double& out, Range range);
  void number_or(const char* name, double& out, Range range);
  void number_or(const char* name, std::optional<double>& out, Range range);
  void flag_or(const char* name, bool& out);
  void integers_or(const char* name, std::vector<int>& out, std::size_t items_max, Range range);
  template <typename Enum>
  void choice(const char* name, Enum& out, const Choices& choices) {
    int index = 0;
    if (choice_index(name, index, choices)) out = static_cast<Enum>(index);
  }
  template <typename Enum>
  void choice_or(const char* name, std::optional<Enum>& out, const Choices& choices) {
    int index = 0;
    if (has(name) && choice_index(name, index, choices)) out = static_cast<Enum>(index);
  }
  // An object inside this one; `read(reader, out)` reads it.
  template <typename T, typename Fields>
  void group(const char* name, T& out, Fields&& read) {
    if (const nlohmann::json* inner = find(name, true)) read_group(*inner, name, out, read);
  }
  template <typename T, typename Fields>
  void group_or(const char* name, std::optional<T>& out, Fields&& read) {
    const nlohmann::json* inner = find(name, false);
    if (!inner) return;
    T value{};
    read_group(*inner, name, value, read);
    if (!failed()) out = std::move(value);
  }
  // A rule over several fields: fails with the given words unless it holds.
  void demand(bool holds, const char* name, const char* id, std::string what);

 private:
  const nlohmann::json* find(const char* name, bool required);
  bool choice_index(const char* name, int& index, const Choices& choices);
  void fail(const char* name, const char* id, std::string what);
  std::optional<int> as_integer(const char* name, const nlohmann::json& value, Range range);
  std::optional<double> as_number(const char* name, const nlohmann::json& value, Range range);
  template <typename T, typename Fields>
  void read_group(const nlohmann::json& inner, const char* name, T& out, Fields&& read) {
    FieldReader reader(inner, path_.empty() ? name : path_ + "." + name);
    read(reader, out);
    if (reader.failed() && !failed()) error_ = reader.error();
  }

  const nlohmann::json* object_;
  std::string path_;
  std::optional<base::Error> error_;
};

class FieldWriter {
 public:
  // The object written so far, closed: "{…}".
  std::string object() const { return "{" + text_ + "}"; }
  bool failed() const { return error_.has_value(); }
  const base::Error& error() const { return *error_; }

  void text(const char* name, const std::string& value, std::size_t bytes_max,
            std::size_t bytes_min = 1);
  void text_or(const char* name, const std::string& value, std::size_t bytes_max);
  void integer(const char* name, int value, Range range);
  void integer_or(const char* name, int value, Range range);
  void integer_or(const char* name, const std::optional<int>& value, Range range);
  void number(const char* name, double value, Range range);
  void number_or(const char* name, double value, Range range);
  void number_or(const char* name, const std::optional<double>& value, Range range);
  void flag_or(const char* name, bool value);
  void integers_or(const char* name, const std::vector<int>& values,
                   std::size_t items_max, Range range);
  template <typename Enum>
  void choice(const char* name, const Enum& value, const Choices& choices) {
    raw(name, std::string("\"") + choices[static_cast<std::size_t>(value)] + "\"");
  }
  template <typename Enum>
  void choice_or(const char* name, const std::optional<Enum>& value, const Choices& choices) {
    if (value) choice(name, *value, choices);
  }
  template <typename T, typename Fields>
  void group(const char* name, T& value, Fields&& write) {
    FieldWriter inner;
    write(inner, value);
    if (inner.failed() && !failed()) error_ = inner.error();
    raw(name, inner.object());
  }
  template <typename T, typename Fields>
  void group_or(const char* name, std::optional<T>& value, Fields&& write) {
    if (value) group(name, *value, write);
  }
  void demand(bool holds, const char* name, const char* id, std::string what);

  // A field whose JSON is already made.
  void raw(const char* name, const std::string& json);

 private:
  void fail(const char* name, const char* id, std::string what);

  std::string text_;
  std::optional<base::Error> error_;
};

}  // namespace nthtree::ledger
