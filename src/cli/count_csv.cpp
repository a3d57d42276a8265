// SPDX-License-Identifier: Apache-2.0
#include "cli/count_csv.h"

#include <algorithm>
#include <cstdlib>
#include <map>
#include <set>

#include "base/csv.h"
#include "base/text.h"
#include "cli/record_csv.h"
#include "ledger/record_table.h"

namespace nthtree::cli {
namespace {

using base::CsvRow;
using base::Error;
using base::Result;

constexpr std::size_t count_rows_max = 2000000;
using Row = std::map<std::string, std::string>;  // cells by heading; empty ones are left out

// What is no field of a count's body.
const std::set<std::string> about = {"date",   "time",  "utc_offset", "block",     "variety",
                                     "person", "count", "corrected",  "record"};

std::string cell(const Row& row, const std::string& heading) {
  const auto found = row.find(heading);
  return found == row.end() ? std::string() : base::unguarded(found->second);
}

Result<std::vector<Row>> rows_of(std::string_view text) {
  const auto lines = base::read_csv(text, count_rows_max);
  if (!lines) return lines.error();
  std::vector<Row> rows;
  for (std::size_t i = 1; i < lines->size(); ++i) {
    const CsvRow& line = (*lines)[i];
    Row row;
    for (std::size_t c = 0; c < line.size() && c < lines->front().size(); ++c) {
      if (!line[c].empty()) row[lines->front()[c]] = line[c];
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

// The numbers of a count, and on which tree: what two rows of one count agree in.
std::string numbers_of(const Row& row) {
  std::string numbers = cell(row, "count");
  for (const auto& [heading, text] : row) {
    if (!about.count(heading)) numbers += "|" + heading + "=" + text;
  }
  return numbers;
}

std::string content_of(const Row& row) {
  std::string content = numbers_of(row);
  for (const char* heading : {"date", "time", "block", "person"}) {
    content += "|" + cell(row, heading);
  }
  return content;
}

// Names to keys; a name that two share stands for neither.
using Keys = std::map<std::string, std::vector<std::string>>;

Result<std::string> key_of(const Keys& keys, const std::string& name, const char* column) {
  const auto found = keys.find(name);
  if (found == keys.end()) {
    return Error{"unknown_name", "\"" + name + "\" is not known at this farm", column};
  }
  if (found->second.size() > 1) {
    return Error{"unknown_name", "two are called \"" + name + "\": give one another name first",
                 column};
  }
  return found->second.front();
}

// "UTC-08:00" as minutes; false where it is something else.
bool read_offset(const std::string& text, int& minutes) {
  if (text.size() != 9 || text.compare(0, 3, "UTC") != 0 || text[6] != ':') return false;
  minutes = std::atoi(text.substr(4, 2).c_str()) * 60 + std::atoi(text.substr(7).c_str());
  if (text[3] == '-') minutes = -minutes;
  return "UTC" + ledger::offset_text(minutes) == text;
}

Result<std::string> utc_time_of(const Row& row, const base::TimeZone& farm) {
  const std::string written = cell(row, "date") + "T" + cell(row, "time");
  std::int64_t at_ms = 0;
  int offset = 0;
  const std::string offset_cell = cell(row, "utc_offset");
  if (!offset_cell.empty() && !read_offset(offset_cell, offset)) {
    return Error{"not_a_time", "\"" + offset_cell + "\" is no offset: UTC-08:00 is allowed",
                 "utc_offset"};
  }
  if (!base::parse_iso(written, at_ms)) {
    return Error{"not_a_time", "\"" + cell(row, "date") + "\", \"" + cell(row, "time") +
                 "\" is not a time: 2026-02-04, 12:00 is allowed", "date, time"};
  }
  const std::int64_t moment_ms =
      offset_cell.empty() ? farm.moment_of(at_ms) : at_ms - offset * std::int64_t{60000};
  return base::iso_minute(moment_ms) + "Z";
}

class Reader {
 public:
  explicit Reader(const ledger::Season& season) : season_(season) {
    for (const auto& [id, block] : season.blocks()) {
      blocks_[block.block ? block.block->name : id].push_back(id);
    }
    for (const auto& [id, person] : season.people()) people_[person.name].push_back(id);
    const auto own = rows_of(ledger::count_table(season));
    for (const Row& row : *own) {
      contents_.insert(content_of(row));
      records_[cell(row, "record")] = numbers_of(row);
    }
  }

  base::Status take(const Row& row) {
    const std::string record = cell(row, "record");
    if (!record.empty()) return take_held(row, record);
    if (contents_.count(content_of(row))) {
      ++held;
      return base::Ok{};
    }
    return take_new(row);
  }

  std::size_t held = 0;
  std::vector<Row> fresh;  // as rows of counts from paper

 private:
  base::Status take_held(const Row& row, const std::string& record) {
    const auto known = records_.find(record);
    if (known == records_.end()) {
      return Error{"not_held", record + " is not held here: import the farm's records (JSON "
                   "lines) first, or empty the cell to take the row as a count from paper",
                   "record"};
    }
    if (known->second != numbers_of(row)) {
      return Error{"differs", "the season has " + known->second + " for " + record +
                   ": a count is corrected in the app, where it is kept who did", "record"};
    }
    ++held;
    return base::Ok{};
  }

  base::Status take_new(const Row& row) {
    const auto block = key_of(blocks_, cell(row, "block"), "block");
    if (!block) return block.error();
    const auto person = key_of(people_, cell(row, "person"), "person");
    if (!person) return person.error();
    const auto at = utc_time_of(row, season_.time_zone());
    if (!at) return at.error();
    Row paper;
    for (const auto& [heading, text] : row) {
      if (!about.count(heading)) paper[heading] = text;
    }
    std::string kind = cell(row, "count");
    std::replace(kind.begin(), kind.end(), ' ', '_');
    paper["kind"] = kind;
    paper["at"] = *at;
    paper["author"] = *person;
    paper["block"] = *block;
    fresh.push_back(std::move(paper));
    return base::Ok{};
  }

  const ledger::Season& season_;
  Keys blocks_, people_;
  std::set<std::string> contents_;
  std::map<std::string, std::string> records_;  // numbers by record
};

std::string paper_of(const std::vector<Row>& rows) {
  std::set<std::string> all;
  for (const Row& row : rows) {
    for (const auto& [heading, text] : row) all.insert(heading);
  }
  const CsvRow headings(all.begin(), all.end());
  std::string text = base::csv_line(headings);
  for (const Row& row : rows) {
    CsvRow line;
    for (const std::string& heading : headings) {
      const auto found = row.find(heading);
      line.push_back(found == row.end() ? "" : base::guarded(found->second));
    }
    text += base::csv_line(line);
  }
  return text;
}

Error in_row(Error error, std::size_t number) {
  const std::size_t colon = error.where.find(": ");  // "row 2: spurs" of the one row alone
  const bool numbered = error.where.compare(0, 4, "row ") == 0 && colon != std::string::npos;
  error.where = base::print("row %zu: ", number) +
                (numbered ? error.where.substr(colon + 2) : error.where);
  return error;
}

}  // namespace

bool is_count_table(std::string_view text) {
  const auto head = base::read_csv(text.substr(0, text.find('\n')), 1);
  if (!head || head->empty()) return false;
  const CsvRow& headings = head->front();
  return std::count(headings.begin(), headings.end(), "person") == 1 &&
         std::count(headings.begin(), headings.end(), "count") == 1 &&
         std::count(headings.begin(), headings.end(), "kind") == 0;
}

Result<TableCounts> read_count_table(std::string_view text, const ledger::Season& season) {
  if (!base::is_utf8(text)) return Error{"not_csv", "is not UTF-8 text", ""};
  const auto rows = rows_of(text);
  if (!rows) return rows.error();
  Reader reader(season);
  const base::TimeZone& farm = season.time_zone();
  for (std::size_t i = 0; i < rows->size(); ++i) {
    const std::size_t fresh_before = reader.fresh.size();
    if (const auto taken = reader.take((*rows)[i]); !taken) return in_row(taken.error(), i + 2);
    if (reader.fresh.size() == fresh_before) continue;
    const auto alone = records_of_csv(paper_of({reader.fresh.back()}), farm);
    if (!alone) return in_row(alone.error(), i + 2);
  }
  TableCounts counts;
  counts.held = reader.held;
  if (reader.fresh.empty()) return counts;
  auto records = records_of_csv(paper_of(reader.fresh), farm);
  if (!records) return records.error();
  counts.records = std::move(*records);
  return counts;
}

}  // namespace nthtree::cli
