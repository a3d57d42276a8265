// SPDX-License-Identifier: Apache-2.0
//
// Records that differ in their numbers alone, read without their text: one of them is read in full,
// and the numbers of the next go where its own went. Packed records come so (sync/packed_lines.h),
// most of a season.
//
// Invariant: what is read is what read_kept_record makes of the text with these numbers in it. So
// tags and re-counts alone are learnt, whose fields are judged each by itself; of a number that
// belongs to no field none but the learnt one is taken, and whatever is out of its range is left to
// the reader that says so.
//
//   AlikeRecords alike;
//   if (alike.learn(text, places)) if (base::Result<Record>* record = alike.read(numbers)) …
#pragma once

#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

#include "ledger/record.h"

namespace nthtree::ledger {

class AlikeRecords {
 public:
  AlikeRecords() : record_(Record()) {}
  AlikeRecords(const AlikeRecords&) = delete;  // the fields point into the record
  AlikeRecords& operator=(const AlikeRecords&) = delete;

  // places: where in the text the whole numbers begin that may differ. False where records of this
  // pattern must be read one by one.
  bool learn(std::string_view text, std::span<const std::uint32_t> places);
  // As many numbers as places, none below 0; null where the text must be read. Good until the next
  // call, and may be changed until then.
  base::Result<Record>* read(std::span<const std::int64_t> numbers);

 private:
  // Where one of the numbers goes, and what it may be.
  struct Number {
    std::int64_t low = 0, high = 0;
    int* field = nullptr;
    std::int64_t* time = nullptr;
  };
  class Finder;

  base::Result<Record> record_;
  std::vector<Number> numbers_;
  std::size_t sequence_ = 0, tick_ = 0;  // which of the numbers these are
};

}  // namespace nthtree::ledger
