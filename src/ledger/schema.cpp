// SPDX-License-Identifier: Apache-2.0
#include "ledger/schema.h"

#include <nlohmann/json.hpp>

#include "ledger/body_fields.h"
#include "ledger/record.h"
#include "ledger/wire.h"

namespace nthtree::ledger {
namespace {

using json = nlohmann::ordered_json;

// Describes what FieldReader would accept. Lengths are bytes there and characters in JSON Schema:
// the schema is the looser of the two for text that is not ASCII.
class SchemaWriter {
 public:
  json object() const {
    json schema = {{"type", "object"}};
    if (!required_.empty()) schema["required"] = required_;
    schema["properties"] = properties_;
    return schema;
  }

  void text(const char* name, const std::string&, std::size_t bytes_max,
            std::size_t bytes_min = 1) {
    add(name, true,
        {{"type", "string"}, {"minLength", bytes_min > 0 ? 1 : 0}, {"maxLength", bytes_max}});
  }
  void text_or(const char* name, const std::string&, std::size_t bytes_max) {
    add(name, false, {{"type", "string"}, {"maxLength", bytes_max}});
  }
  void integer(const char* name, int, Range range) {
    add(name, true, whole(range));
  }
  template <typename T>
  void integer_or(const char* name, const T&, Range range) {
    add(name, false, whole(range));
  }
  void number(const char* name, double, Range range) {
    add(name, true, {{"type", "number"}, {"minimum", range.low}, {"maximum", range.high}});
  }
  template <typename T>
  void number_or(const char* name, const T&, Range range) {
    add(name, false, {{"type", "number"}, {"minimum", range.low}, {"maximum", range.high}});
  }
  void flag_or(const char* name, bool) { add(name, false, {{"type", "boolean"}}); }
  void integers_or(const char* name, const std::vector<int>&, std::size_t items_max, Range range) {
    add(name, false,
        {{"type", "array"},
         {"maxItems", items_max},
         {"items", whole(range)}});
  }
  template <typename Enum>
  void choice(const char* name, const Enum&, const Choices& choices) {
    add(name, true, {{"enum", choices}});
  }
  template <typename T>
  void choice_or(const char* name, const T&, const Choices& choices) {
    add(name, false, {{"enum", choices}});
  }
  template <typename T, typename Fields>
  void group(const char* name, T&, Fields&& describe) {
    T shape{};
    SchemaWriter inner;
    describe(inner, shape);
    add(name, true, inner.object());
  }
  template <typename T, typename Fields>
  void group_or(const char* name, std::optional<T>&, Fields&& describe) {
    T shape{};
    SchemaWriter inner;
    describe(inner, shape);
    add(name, false, inner.object());
  }
  // Rules over several fields have no simple form in JSON Schema; FORMAT.md lists them.
  void demand(bool, const char*, const char*, const std::string&) {}

 private:
  static json whole(Range range) {
    return {{"type", "integer"},
            {"minimum", static_cast<std::int64_t>(range.low)},
            {"maximum", static_cast<std::int64_t>(range.high)}};
  }
  void add(const char* name, bool required, json schema) {
    if (required) required_.push_back(name);
    properties_[name] = std::move(schema);
  }
  json properties_ = json::object();
  json required_ = json::array();
};

json body_schema(std::size_t kind) {
  Body body = body_of_kind(kind);
  SchemaWriter writer;
  Visited visitor(writer);
  body_fields(visitor, body);
  return writer.object();
}

json envelope_schema() {
  const json id = {{"type", "string"}, {"pattern", "^[0-9a-f]{32}-[1-9][0-9]{0,14}$"}};
  const json moment = {{"type", "integer"}, {"minimum", 0}, {"maximum", 253402300799999}};
  json properties;
  properties["v"] = {{"type", "integer"}, {"minimum", 0}};
  properties["id"] = id;
  properties["at_ms"] = moment;
  properties["tick"] = {{"type", "integer"}, {"minimum", 0}, {"maximum", 4294967295}};
  properties["clock_ms"] = moment;
  properties["author"] = {{"type", "string"}, {"maxLength", id_bytes_max}};
  properties["kind"] = {{"type", "string"}, {"minLength", 1}, {"maxLength", id_bytes_max}};
  properties["replaces"] = id;
  properties["body"] = {{"type", "object"}};
  return properties;
}

}  // namespace

std::string record_schema() {
  json schema;
  schema["$schema"] = "https://json-schema.org/draft/2020-12/schema";
  schema["title"] = "Nthtree ledger record";
  schema["description"] =
      "One record of the ledger. Unknown kinds, versions and fields are allowed and kept.";
  schema["type"] = "object";
  schema["required"] = {"v", "id", "at_ms", "tick", "clock_ms", "kind", "body"};
  schema["properties"] = envelope_schema();
  json rules = json::array();
  for (std::size_t kind = 1; kind < kind_names.size(); ++kind) {
    json rule;
    rule["if"]["properties"] = {{"v", {{"const", wire::version}}},
                                {"kind", {{"const", kind_names[kind]}}}};
    rule["then"]["properties"]["body"] = body_schema(kind);
    rules.push_back(std::move(rule));
  }
  schema["allOf"] = std::move(rules);
  return schema.dump(2) + "\n";
}

}  // namespace nthtree::ledger
