// SPDX-License-Identifier: Apache-2.0
//
// What a phone hands to another: which records make up a batch, how much that is, and its lines in
// the form that every import reads. And the other way round: whose farm the lines speak of.
//
//   const sync::Coverage ids = ids_of(Batch::today, client, season, now_ms);
//   FileOut out(platform);
//   write_lines(ids, client.store(), out);
//   out.save("nthtree.txt", "text/plain", true);
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "app/platform.h"
#include "ledger/season.h"
#include "screens/exchange.h"
#include "sync/client.h"

namespace nthtree::app {

sync::Coverage ids_of(screens::Batch batch, const sync::Client& client,
                      const ledger::Season& season, std::int64_t now_ms);
// The records that the settings of now come from.
sync::Coverage settings_ids(const ledger::Season& season);
screens::BatchSize measure(const sync::Coverage& ids, const sync::RecordStore& store);
std::string lines_of(const sync::Coverage& ids, const sync::RecordStore& store);

// A file too large to be held as a whole: it goes to the platform part by part.
class FileOut {
 public:
  explicit FileOut(Platform& platform) : platform_(platform) {}
  void add(std::string_view text);
  // Ends it, as Platform::save_file does.
  void save(std::string_view name, std::string_view mime, bool share);

 private:
  Platform& platform_;
  std::string part_;
};

// One record a line, byte for byte: the form another phone reads.
void write_lines(const sync::Coverage& ids, const sync::RecordStore& store, FileOut& out);
// Every record that can be read as a row of a spreadsheet (ledger/record_table.h), oldest first.
void write_record_table(const sync::RecordStore& store, const base::TimeZone& farm, FileOut& out);

// The name of the farm that the lines speak of, where it is another one than this phone's; empty
// where it is the same, where nothing tells, or where this phone has none yet. A farm is known by
// a settings record that is held here already, or by its name.
std::string other_farm(std::string_view lines, const sync::RecordStore& store,
                       const ledger::Season& season);

}  // namespace nthtree::app
