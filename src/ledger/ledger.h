// SPDX-License-Identifier: Apache-2.0
//
// The set of all records a device holds, as bytes: what is sent, exported and compared. Grow-only;
// merging two ledgers is the union of their sets.
//
// Invariants: the bytes under an id never change; a second record with the same id and other bytes
// is a conflict (a cloned phone) and is not taken.
// Not here: what the records mean (season.h), where they are stored.
//
//   Ledger ledger;
//   if (ledger.add(record) == Ledger::Added::conflict) …
//   ledger.head(device);  // 17: records 1 … 17 are all here
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "ledger/record.h"

namespace nthtree::ledger {

class Ledger {
 public:
  enum class Added { added, already_held, conflict };

  Added add(const RecordId& id, std::string_view bytes);
  Added add(const Record& record) { return add(record.id, record.bytes); }

  // Null where the record is not held. Good until the next add of the same device.
  const std::string* bytes(const RecordId& id) const;
  // The highest sequence up to which all records of a device are held; 0 where 1 is missing.
  std::uint64_t head(const DeviceKey& device) const;
  // The highest sequence held, with gaps below or not.
  std::uint64_t highest(const DeviceKey& device) const;
  std::vector<DeviceKey> devices() const;
  std::size_t size() const { return size_; }

  // Calls `visit` for every record held, by device and sequence.
  void each(const std::function<void(const RecordId&, const std::string&)>& visit) const;

 private:
  struct Line {
    std::uint64_t head = 0;
    std::map<std::uint64_t, std::string> records;
  };
  std::map<DeviceKey, Line> lines_;
  std::size_t size_ = 0;
};

// A phone's export or a whole farm can be large; above this something else was picked by mistake.
inline constexpr std::size_t ledger_file_bytes_max = 512u << 20;

// A ledger file, part by part as its text comes: one record a line (JSON Lines, UTF-8). Every good
// line is a record; a bad one is an error that names its line number and spoils no good one.
//
//   LedgerReader reader([&](Record record) { … }, [&](base::Error error) { … });
//   reader.take(first_part);
//   reader.take(second_part);
//   reader.end();  // the last line may lack its break
class LedgerReader {
 public:
  using OnRecord = std::function<void(Record)>;
  using OnError = std::function<void(base::Error)>;  // where = "line 12: body.spurs"
  LedgerReader(OnRecord on_record, OnError on_error)
      : on_record_(std::move(on_record)), on_error_(std::move(on_error)) {}

  void take(std::string_view part);
  void end();

 private:
  void line(std::string_view text);

  OnRecord on_record_;
  OnError on_error_;
  std::string begun_;  // a line whose end has not come yet
  int line_number_ = 0;
};

// The same of a text that is there as a whole. Error too_long above ledger_file_bytes_max.
struct LedgerFile {
  std::vector<Record> records;
  std::vector<base::Error> errors;
};
LedgerFile read_ledger_file(std::string_view text);

}  // namespace nthtree::ledger
