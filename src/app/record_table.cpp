// SPDX-License-Identifier: Apache-2.0
#include "app/record_table.h"

#include <map>
#include <nlohmann/json.hpp>
#include <set>

#include "base/text.h"
#include "ledger/json_text.h"

namespace nthtree::app {
namespace {

using Cells = std::map<std::string, std::string>;

void flatten(const nlohmann::json& value, const std::string& path, Cells& cells) {
  if (value.is_object()) {
    for (const auto& [key, inner] : value.items()) {
      flatten(inner, path.empty() ? key : path + "." + key, cells);
    }
  } else if (value.is_string()) {
    cells[path] = value.get_ref<const std::string&>();
  } else if (value.is_array()) {
    std::string list;
    for (const auto& entry : value) list += (list.empty() ? "" : " ") + entry.dump();
    cells[path] = list;
  } else {
    cells[path] = value.dump();
  }
}

// CSV injection: a cell that begins like a formula is run by some spreadsheets.
std::string cell(const std::string& text) {
  std::string safe = text;
  if (!safe.empty() && std::string("=+@\t\r").find(safe[0]) != std::string::npos) {
    safe.insert(0, 1, '\'');
  }
  if (safe.find_first_of(",\"\r\n") == std::string::npos) return safe;
  std::string quoted = "\"";
  for (char c : safe) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
  return quoted + "\"";
}

}  // namespace

std::string record_table(const std::vector<ledger::Record>& records) {
  std::vector<Cells> rows;
  std::set<std::string> fields;
  for (const ledger::Record& record : records) {
    Cells cells;
    // Read once more from its own bytes: a kind that this version does not know has fields too.
    const auto parsed = ledger::parse_json(record.bytes, {.bytes_max = ledger::record_bytes_max});
    if (parsed && parsed->is_object() && parsed->contains("body")) {
      flatten((*parsed)["body"], "", cells);
    }
    for (const auto& [name, text] : cells) fields.insert(name);
    rows.push_back(std::move(cells));
  }
  std::string table = "id,at,author,kind,replaces";
  for (const std::string& field : fields) table += "," + cell(field);
  table += "\r\n";
  for (std::size_t i = 0; i < records.size(); ++i) {
    const ledger::Record& record = records[i];
    table += record.id.text() + "," + base::iso_minute(record.stamp.at_ms) + "," +
             cell(record.author) + "," + cell(record.kind) + "," +
             (record.replaces ? record.replaces->text() : "");
    for (const std::string& field : fields) {
      const auto found = rows[i].find(field);
      table += "," + (found == rows[i].end() ? std::string() : cell(found->second));
    }
    table += "\r\n";
  }
  return table;
}

}  // namespace nthtree::app
