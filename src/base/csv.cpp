// SPDX-License-Identifier: Apache-2.0
#include "base/csv.h"

#include "base/text.h"

namespace nthtree::base {
namespace {

bool runs_as_formula(const std::string& text) {
  return !text.empty() && std::string_view("=+-@\t\r'").find(text[0]) != std::string_view::npos;
}

// Reads one cell from `at` on; leaves `at` on the separator, line break or end behind it.
Result<std::string> read_cell(std::string_view text, std::size_t& at, int line, char separator) {
  std::string cell;
  if (at >= text.size() || text[at] != '"') {
    while (at < text.size() && text[at] != separator && text[at] != '\n') {
      if (text[at] == '"') {
        return Error{"not_csv", "a quote stands inside a cell that is not in quotes",
                           print("line %d", line)};
      }
      cell += text[at++];
    }
    if (!cell.empty() && cell.back() == '\r') cell.pop_back();
    return cell;
  }
  for (++at; at < text.size(); ++at) {
    if (text[at] != '"') {
      cell += text[at];
    } else if (at + 1 < text.size() && text[at + 1] == '"') {
      cell += text[++at];
    } else {
      break;
    }
  }
  if (at >= text.size()) {
    return Error{"not_csv", "a quote is opened and never closed",
                       print("line %d", line)};
  }
  ++at;  // the closing quote
  if (at < text.size() && text[at] == '\r') ++at;
  if (at < text.size() && text[at] != separator && text[at] != '\n') {
    return Error{"not_csv", "something follows a closing quote",
                       print("line %d", line)};
  }
  return cell;
}

}  // namespace

std::string csv_line(const CsvRow& cells) {
  std::string line;
  for (const std::string& cell : cells) {
    if (&cell != &cells.front()) line += ',';
    // A mark of byte order at the start of a file is no part of it; one in quotes is.
    const bool is_marked = std::string_view(cell).substr(0, 3) == byte_order_mark;
    if (!is_marked && cell.find_first_of(",\"\r\n") == std::string::npos) {
      line += cell;
      continue;
    }
    line += '"';
    for (const char c : cell) line += c == '"' ? std::string("\"\"") : std::string(1, c);
    line += '"';
  }
  return line + "\r\n";
}

std::string guarded(const std::string& text) { return runs_as_formula(text) ? "'" + text : text; }

std::string unguarded(const std::string& text) {
  return text.size() > 1 && text[0] == '\'' && runs_as_formula(text.substr(1)) ? text.substr(1)
                                                                               : text;
}

Result<std::vector<CsvRow>> read_csv(std::string_view text, std::size_t rows_max,
                                     char separator) {
  if (text.substr(0, 3) == byte_order_mark) text.remove_prefix(3);
  std::vector<CsvRow> rows;
  std::size_t at = 0;
  for (int line = 1; at < text.size(); ++line) {
    CsvRow row;
    for (;;) {
      const auto cell = read_cell(text, at, line, separator);
      if (!cell) return cell.error();
      row.push_back(*cell);
      if (at >= text.size() || text[at] == '\n') break;
      ++at;  // the separator
    }
    ++at;
    if (row.size() == 1 && row[0].empty()) continue;
    if (rows.size() >= rows_max) {
      return Error{"too_long", print("more than the %zu rows allowed", rows_max),
                         print("line %d", line)};
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

}  // namespace nthtree::base
