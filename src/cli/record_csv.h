// SPDX-License-Identifier: Apache-2.0
//
// The table of records (ledger/record_table.h) read back. Every field of a body has a column of its
// own ("spurs", "target.yield.amount"), a list of numbers stands in one cell with spaces between.
//
// Going there and back gives the same bytes for every record this version wrote itself; fields a
// later version added are not in the table, which is why moving records between phones uses JSON
// lines.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/time_zone.h"
#include "ledger/record.h"

namespace nthtree::cli {

// Rows with an "id" are the records of an export. Rows without are counts from paper: they need
// "kind", "at" (the farm's own time, or UTC with Z) and the fields of that kind, and get ids made
// from the table's text, so that the same table read twice adds nothing the second time.
// Errors name the line and the field.
base::Result<std::vector<ledger::Record>> records_of_csv(std::string_view text,
                                                         const base::TimeZone& farm);

}  // namespace nthtree::cli
