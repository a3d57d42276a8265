// SPDX-License-Identifier: Apache-2.0
//
// Records as tables for a spreadsheet (RFC 4180), the same from the phone and the command line.
//
// The table of counts is for people: one row a count as it stands now, with names, the farm's own
// time and its offset from UTC, and a mark that tells spreadsheets that it is UTF-8. The table of
// records is everything that was written, one row a record, one column a field, with keys.
// Cells that a spreadsheet would run as a formula get an apostrophe in front.
//
//   platform.save_file("counts.csv", "text/csv", count_table(season), false);
#pragma once

#include <functional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/time_zone.h"
#include "ledger/record.h"
#include "ledger/season.h"

namespace nthtree::ledger {

// Columns: date, time, utc_offset, block, variety, row, tree, person, count (the record's kind in
// words: "tag count"), then the fields of the counts (FORMAT.md), corrected, and last the record
// that said it first. Oldest first; counts that were taken back are left out.
std::string count_table(const Season& season);
// The same in parts, one after another: a large season's is larger than what a phone holds of it.
using OnPart = std::function<void(std::string_view)>;
void count_table(const Season& season, const OnPart& on_part);

// Columns: id, at (the farm's time, for people), at_ms, tick, clock_ms, author, kind, replaces,
// block, row, tree, spurs, then every other field met in any body, by its path ("target.yield").
// The body of a kind that this version does not know stands whole in a column of its own.
std::string record_table(const std::vector<Record>& records, const base::TimeZone& farm);
// The same a row at a time: every record is noted, then comes the head, then the rows.
class RecordTable {
 public:
  explicit RecordTable(const base::TimeZone& farm) : farm_(farm) {}
  void note(const Record& record);
  std::string head();
  std::string row(const Record& record) const;

 private:
  base::TimeZone farm_;
  std::set<std::string> met_;         // names of cells
  std::vector<std::string> columns_;  // once there is a head
};

inline constexpr const char* whole_body_column = "body";
// True for a column of the table of records that is no field of a body.
bool is_envelope_column(std::string_view name);

// "+05:30" for 330 minutes.
std::string offset_text(int utc_offset_minutes);

}  // namespace nthtree::ledger
