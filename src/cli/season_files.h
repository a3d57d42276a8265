// SPDX-License-Identifier: Apache-2.0
//
// Loads ledger files, or every *.jsonl of a folder, and folds them into a season as it stood at a
// moment.
//
//   const auto farm = farm_asked_for(arguments, arguments.rest);
//   if (farm) show(farm->season);
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/arguments.h"
#include "base/result.h"
#include "ledger/season.h"
#include "ledger/written_ahead.h"

namespace nthtree::cli {

struct LedgerText {  // one file
  std::string path;
  std::vector<ledger::Record> records;
  std::vector<base::Error> errors;  // where = "path: line 12: body.spurs"
};

struct LoadedRecords {
  std::vector<ledger::Record> records;
  std::vector<base::Error> skipped;  // bad lines, where the caller said to skip them
};

// The ledger files a path means: itself, or the *.jsonl of a folder, by name.
// Error: cannot_read where there is nothing of the kind.
base::Result<std::vector<std::string>> ledger_paths(const std::string& path);

base::Result<LedgerText> read_ledger(const std::string& path);

// All records under the paths with their bytes, in the order of the fold. A bad line is an error
// unless `skip_bad`.
base::Result<LoadedRecords> load_records(const std::vector<std::string>& paths, bool skip_bad);

// Into the order of the fold.
void sort_records(std::vector<ledger::Record>& records);

struct FarmMoment {
  ledger::Season season;  // only what was written up to now_ms
  std::int64_t now_ms = 0;
  std::vector<ledger::WrittenAhead> ahead;  // phones whose clocks ran days ahead of the others'
  std::int64_t present_ms = 0;              // the last record that is none of theirs
  std::vector<base::Error> skipped;         // bad lines, where the caller said to skip them

  // What is not looked at, and why, a sentence each: records from the future, other seasons.
  std::vector<std::string> notes() const;
};

// "phone 3f0c… of p2: 3 records stamped 45 days ahead of every other, from 2026-03-25 08:10".
std::string ahead_text(const ledger::Season& season, const ledger::WrittenAhead& phone,
                       std::int64_t present_ms);

// The farm of all ledger files under the paths, as it stood.
// at: empty for the last record that is not from the future; "2026-02-04T12:00" (farm's own time),
// the same with Z (UTC), or "2026-02-04" (the end of that day at the farm). Error: not_a_time.
// A bad line is an error unless `skip_bad`.
// The files are read twice, first for what time it was, and no record is held but in the season.
base::Result<FarmMoment> load_farm(const std::vector<std::string>& paths, const std::string& at,
                                   bool skip_bad);

// What a command is asked about: the farm of these files, at its --at, with its --skip-bad.
base::Result<FarmMoment> farm_asked_for(const base::Arguments& arguments,
                                        const std::vector<std::string>& paths);
// What it leaves out and what it has to say, a line each: "skipped: …", "note: …".
std::string skipped_text(const std::vector<base::Error>& skipped);
std::string notes_text(const FarmMoment& farm);

// "2026-02-04 12:00", the farm's own time.
std::string farm_time(const ledger::Season& season, std::int64_t at_ms);
// "Wed 4 Feb 12:00", for tables.
std::string short_time(const ledger::Season& season, std::int64_t at_ms);

}  // namespace nthtree::cli
