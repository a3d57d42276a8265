// SPDX-License-Identifier: Apache-2.0
//
// Packed lines (packed_lines.h) read as records without being made text again: of each pattern one
// line is read in full, of the others the numbers alone (ledger/alike_records.h).
//
//   PackedRecords records(lines);
//   for (std::size_t i = 0; i < lines.size(); ++i) take(records.read(i));
#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "ledger/alike_records.h"
#include "sync/packed_lines.h"

namespace nthtree::sync {

class PackedRecords {
 public:
  // The lines must stay where they are.
  explicit PackedRecords(const PartedLines& lines);

  // What ledger::read_kept_record makes of the line. Good until the next call; its stamp may be
  // changed until then.
  base::Result<ledger::Record>& read(std::size_t line);

 private:
  // Of one pattern; null: not learnt.
  struct Known {
    std::unique_ptr<ledger::AlikeRecords> alike;
    bool tried = false;
  };
  ledger::AlikeRecords* alike_of(std::size_t line);

  const PartedLines& lines_;
  std::vector<Known> known_;
  std::vector<std::uint32_t> places_;
  base::Result<ledger::Record> singly_;
};

}  // namespace nthtree::sync
