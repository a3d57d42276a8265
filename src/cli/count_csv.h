// SPDX-License-Identifier: Apache-2.0
//
// The table of counts (ledger/record_table.h) read back: with names in place of keys, as a
// spreadsheet leaves it. Rows of records that are held already add nothing; rows that somebody
// typed below them are new counts.
//
//   if (is_count_table(text)) auto counts = read_count_table(text, season);
#pragma once

#include <cstddef>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "ledger/season.h"

namespace nthtree::cli {

// True where the row of headings has those of a table of counts.
bool is_count_table(std::string_view text);

struct TableCounts {
  std::vector<ledger::Record> records;  // new ones
  std::size_t held = 0;                 // rows that say what the season holds
};

// A row with a record must say the same numbers as the season: a spreadsheet is no way to correct
// a count. A row without one that says the same as a count of the season is that count.
// Errors name the row and the column: not_csv, not_held, differs, unknown_name, not_a_time, and
// those of the fields.
base::Result<TableCounts> read_count_table(std::string_view text, const ledger::Season& season);

}  // namespace nthtree::cli
