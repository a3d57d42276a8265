// SPDX-License-Identifier: Apache-2.0
//
// Records as a table for a spreadsheet (RFC 4180): one row a record, one column a field. For
// people to look at; another phone reads JSON lines instead.
//
//   platform.save_file("counts.csv", "text/csv", record_table(records), false);
#pragma once

#include <string>
#include <vector>

#include "ledger/record.h"

namespace nthtree::app {

// Columns: id, at (UTC, ISO 8601), author, kind, replaces, then every field met in any body, by
// its path ("tree.row"), in alphabetical order. Cells that a spreadsheet would take for a formula
// get an apostrophe in front.
std::string record_table(const std::vector<ledger::Record>& records);

}  // namespace nthtree::app
