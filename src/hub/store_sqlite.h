// SPDX-License-Identifier: Apache-2.0
//
// The hub's store on one SQLite file, and what is done to such a file: backup and restore.
//
// WAL with synchronous=FULL: each commit is on the disk before it returns (with NORMAL a power cut
// takes the last commits back: sqlite.org/pragma.html#pragma_synchronous).
// The settings are read back at opening, because SQLite ignores one that it cannot honour.
//
//   auto store = open_sqlite_store(folder + "/hub.sqlite");
#pragma once

#include <memory>
#include <string>

#include "hub/store.h"

namespace nthtree::hub {

struct SqliteOptions {
  std::int64_t pages_max = 0;  // 0: no limit but the disk's; tests fill a small one
  int busy_ms = 5000;          // how long another process's lock is waited for
};

// Makes the file where there is none, with a new epoch.
base::Result<std::unique_ptr<Store>> open_sqlite_store(const std::string& path,
                                                       const SqliteOptions& options = {});

// Copies a store that may be in use to a new file, checks the copy, and then tells the store what
// is safe in it: phones may then show "in a backup". The records in the copy.
base::Result<std::uint64_t> back_up(const std::string& path, const std::string& to);

// Puts a backup in the place of the store (which nobody may have open) under a new epoch, so that
// the phones fill in what the backup lacks. The old file is kept beside it as "<path>.before".
base::Status restore(const std::string& from, const std::string& path);

}  // namespace nthtree::hub
