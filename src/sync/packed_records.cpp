// SPDX-License-Identifier: Apache-2.0
#include "sync/packed_records.h"

namespace nthtree::sync {
namespace {

// Learning a pattern costs as much as reading two lines.
constexpr std::size_t worth_learning = 4;

}  // namespace

PackedRecords::PackedRecords(const PartedLines& lines)
    : lines_(lines), known_(lines.patterns().size()), singly_(ledger::Record()) {}

ledger::AlikeRecords* PackedRecords::alike_of(std::size_t line) {
  const std::size_t pattern = lines_.pattern_of(line);
  Known& known = known_[pattern];
  if (!known.tried && lines_.patterns()[pattern].lines >= worth_learning) {
    auto alike = std::make_unique<ledger::AlikeRecords>();
    const std::string text = lines_.text(line, &places_);
    if (alike->learn(text, places_)) known.alike = std::move(alike);
  }
  known.tried = true;
  return known.alike.get();
}

base::Result<ledger::Record>& PackedRecords::read(std::size_t line) {
  ledger::AlikeRecords* const alike = alike_of(line);
  if (auto* record = alike ? alike->read(lines_.numbers(line)) : nullptr) return *record;
  return singly_ = ledger::read_kept_record(lines_.text(line));
}

}  // namespace nthtree::sync
