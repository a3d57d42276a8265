// SPDX-License-Identifier: Apache-2.0
//
// The farm's records as a season and as files: for the office's pages and the export command. What
// counts nowhere (set aside, removed) is left out. Reads every record, so it costs what opening
// that season costs: 1.3 s for 200,000.
//
//   file << count_csv(store, {"2025-11-01", "2026-06-30"});
#pragma once

#include <string>

#include "hub/store.h"
#include "ledger/season.h"

namespace nthtree::hub {

// ISO days at the farm, both included; empty: no bound. Settings are always taken in.
struct Days {
  std::string from, to;
};

ledger::Season season_of(Store& store, const Days& days);
std::string count_csv(Store& store, const Days& days);   // a line a count, for people
std::string record_csv(Store& store, const Days& days);  // a line a record, for a spreadsheet
std::string lines_of(Store& store, const Days& days);    // JSON, byte for byte as written

}  // namespace nthtree::hub
