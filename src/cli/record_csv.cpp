// SPDX-License-Identifier: Apache-2.0
#include "cli/record_csv.h"

#include <algorithm>
#include <map>
#include <set>

#include "base/csv.h"
#include "base/text.h"
#include "ledger/body_fields.h"
#include "ledger/json_text.h"
#include "ledger/record_table.h"

namespace nthtree::cli {
namespace {

using base::CsvRow;
using base::Error;
using base::Result;
using base::unguarded;
using ledger::Range;
using nlohmann::json;

constexpr std::size_t rows_max = 2000000;

std::string last_part(const std::string& path) {
  const std::size_t dot = path.rfind('.');
  return dot == std::string::npos ? path : path.substr(dot + 1);
}

using Cells = std::map<std::string, std::string>;

// Which fields of a kind hold a text, even where it looks like a number, and which a list.
class CellForms {
 public:
  std::set<std::string> texts, lists;

  void text(const char* name, const std::string&, std::size_t) { texts.insert(name); }
  void text_or(const char* name, const std::string&, std::size_t) { texts.insert(name); }
  template <typename T>
  void choice(const char* name, const T&, const ledger::Choices&) { texts.insert(name); }
  template <typename T>
  void choice_or(const char* name, const T&, const ledger::Choices&) { texts.insert(name); }
  void integers_or(const char* name, const std::vector<int>&, std::size_t, Range) {
    lists.insert(name);
  }
  void integer(const char*, int, Range) {}
  template <typename T>
  void integer_or(const char*, const T&, Range) {}
  void number(const char*, double, Range) {}
  template <typename T>
  void number_or(const char*, const T&, Range) {}
  void flag_or(const char*, bool) {}
  void demand(bool, const char*, const char*, const std::string&) {}
  template <typename T, typename Fields>
  void group(const char*, T& value, Fields&& fields) { fields(*this, value); }
  template <typename T, typename Fields>
  void group_or(const char*, std::optional<T>&, Fields&& fields) {
    T shape{};
    fields(*this, shape);
  }
};

// By kind, since a name such as "step" is a word in one and a number in another; of a kind that is
// not known, and of the envelope, those of all kinds.
const CellForms& cell_forms(const std::string& of_kind) {
  static const std::map<std::string, CellForms> forms = [] {
    std::map<std::string, CellForms> all;
    for (std::size_t kind = 0; kind < ledger::kind_names.size(); ++kind) {
      ledger::Body shape = ledger::body_of_kind(kind);
      for (const std::string& name : {std::string(ledger::kind_names[kind]), std::string()}) {
        ledger::Visited visitor(all[name]);
        ledger::body_fields(visitor, shape);
      }
    }
    return all;
  }();
  const auto found = forms.find(of_kind);
  return found == forms.end() ? forms.at("") : found->second;
}

// The value of a cell as JSON; nothing where it is neither text, number, list nor truth value.
std::optional<json> value_of(const CellForms& forms, const std::string& field,
                             const std::string& cell) {
  if (forms.texts.count(last_part(field))) return json(unguarded(cell));
  if (forms.lists.count(last_part(field))) {
    std::string list = "[" + cell + "]";
    std::replace(list.begin(), list.end(), ' ', ',');
    const auto parsed = ledger::parse_json(list, {});
    return parsed ? std::optional<json>(*parsed) : std::nullopt;
  }
  const auto parsed = ledger::parse_json(cell, {.bytes_max = 64, .depth_max = 0});
  if (!parsed || !(parsed->is_number() || parsed->is_boolean())) return std::nullopt;
  return *parsed;
}

struct Table {
  CsvRow headings;
  std::uint64_t digest[2];  // of the whole text, for ids
  const base::TimeZone& farm;
};

Result<std::int64_t> time_of(const Cells& row, const Table& table) {
  const auto found = row.find("at");
  std::string at = found == row.end() ? "" : found->second;
  const bool utc = !at.empty() && at.back() == 'Z';
  if (at.size() > 10 && at[10] == ' ') at[10] = 'T';
  std::int64_t ms = 0;
  if (!base::parse_iso(at, ms)) {
    return Error{"not_a_time", "\"" + at + "\" is not a time: 2026-02-04 12:00 is allowed", "at"};
  }
  return utc ? ms : table.farm.moment_of(ms);
}

std::string text_or(const Cells& row, const char* name, const std::string& otherwise) {
  const auto found = row.find(name);
  return found == row.end() ? otherwise : unguarded(found->second);
}

Result<json> body_of(const Cells& row) {
  json body = json::object();
  const CellForms& forms = cell_forms(text_or(row, "kind", ""));
  if (const auto whole = row.find(ledger::whole_body_column); whole != row.end()) {
    auto parsed = ledger::parse_json(unguarded(whole->second), {});
    if (!parsed) return Error{"not_json", "is not JSON", ledger::whole_body_column};
    return std::move(parsed).value();
  }
  for (const auto& [field, cell] : row) {
    if (ledger::is_envelope_column(field)) continue;
    const auto value = value_of(forms, field, cell);
    if (!value) return Error{"wrong_type", "\"" + cell + "\" is not a number", field};
    json* at = &body;
    std::size_t from = 0;
    for (std::size_t dot; (dot = field.find('.', from)) != std::string::npos; from = dot + 1) {
      at = &(*at)[field.substr(from, dot - from)];
      if (!at->is_null() && !at->is_object()) {
        return Error{"wrong_type", "stands for a value and for a group", field};
      }
    }
    (*at)[field.substr(from)] = *value;
  }
  return body;
}

// Builds the record's JSON, lets the ledger read it, and writes it in the ledger's own form.
Result<ledger::Record> record_of(const Cells& row, const Table& table, std::uint64_t number,
                                 ledger::Stamp& last) {
  auto body = body_of(row);
  if (!body) return body.error();
  json object = {{"v", 1}, {"kind", text_or(row, "kind", "")}, {"body", std::move(*body)}};
  object["author"] = text_or(row, "author", "");
  if (row.count("replaces")) object["replaces"] = row.at("replaces");
  if (row.count("id")) {
    object["id"] = row.at("id");
    for (const char* name : {"at_ms", "tick", "clock_ms"}) {
      const auto value = value_of(cell_forms(""), name, text_or(row, name, ""));
      if (!value) return Error{"wrong_type", "must be a whole number", name};
      object[name] = *value;
    }
  } else {
    const auto at = time_of(row, table);
    if (!at) return at.error();
    ledger::Stamp stamp{*at, 0};
    if (stamp <= last) stamp = {last.at_ms, last.tick + 1};
    last = stamp;
    object["id"] = ledger::RecordId{{table.digest[0], table.digest[1]}, number}.text();
    object["at_ms"] = stamp.at_ms;
    object["tick"] = stamp.tick;
    object["clock_ms"] = *at;
  }
  if (object["author"] == "") object.erase("author");
  auto read = ledger::read_record(object.dump(-1, ' ', false, json::error_handler_t::replace));
  if (!read || std::holds_alternative<ledger::Unknown>(read->body)) return read;
  return ledger::write_record(std::move(*read));
}

std::uint64_t digest_of(std::string_view text, std::uint64_t state) {
  for (const char c : text) state = (state ^ static_cast<unsigned char>(c)) * 0x100000001b3u;
  return state;
}

}  // namespace

base::Result<std::vector<ledger::Record>> records_of_csv(std::string_view text,
                                                         const base::TimeZone& farm) {
  if (!base::is_utf8(text)) return Error{"not_csv", "is not UTF-8 text", ""};
  const auto rows = base::read_csv(text, rows_max);
  if (!rows) return rows.error();
  if (rows->empty()) return Error{"not_csv", "has no row of headings", ""};
  const Table table{rows->front(), {digest_of(text, 0xcbf29ce484222325u),
                                    digest_of(text, 0x84222325cbf29ce4u)}, farm};
  const std::set<std::string> unique(table.headings.begin(), table.headings.end());
  if (unique.size() != table.headings.size()) {
    return Error{"not_csv", "two columns have the same heading", "line 1"};
  }
  if (!unique.count("kind")) return Error{"missing_field", "the column is missing", "kind"};
  std::vector<ledger::Record> records;
  ledger::Stamp last;
  for (std::size_t r = 1; r < rows->size(); ++r) {
    Cells cells;
    const CsvRow& row = (*rows)[r];
    const std::string where = base::print("row %zu", r + 1);
    if (row.size() > table.headings.size()) {
      return Error{"not_csv", base::print("%zu cells: at most %zu are allowed", row.size(),
                                          table.headings.size()), where};
    }
    for (std::size_t c = 0; c < row.size(); ++c) {
      if (!row[c].empty()) cells[table.headings[c]] = row[c];
    }
    const auto record = record_of(cells, table, r, last);
    if (!record) {
      Error error = record.error();
      error.where = where + (error.where.empty() ? "" : ": ") + error.where;
      return error;
    }
    records.push_back(*record);
  }
  return records;
}

}  // namespace nthtree::cli
