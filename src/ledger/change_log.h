// SPDX-License-Identifier: Apache-2.0
//
// What the latest records changed in a block. Whoever keeps something worked out of the block takes
// in what was added since it looked, and works it out anew where that is not all that changed.
// Not a history: only the last few changes are kept, which is what comes between two looks of a
// phone that counts. A whole page of records from elsewhere is worth a look at the whole block.
//
//   const auto changes = block.changes.since(seen);
//   if (!changes) …                          // everything may be different
//   for (const Change& change : *changes) …  // oldest first
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "ledger/record_id.h"

namespace nthtree::ledger {

struct Change {
  std::size_t added = 0;  // the kind of the new entry, as index of Body; 0: anything else changed
  FoldPosition position;  // of the new entry
};

class ChangeLog {
 public:
  static constexpr std::size_t kept = 32;

  void add(const Change& change) { latest_[++revision_ % kept] = change; }
  // Grows by one with every change.
  std::uint64_t revision() const { return revision_; }
  // What came after that revision; empty where it is no longer known, or was never reached.
  std::optional<std::vector<Change>> since(std::uint64_t revision) const {
    if (revision > revision_ || revision_ - revision > kept) return std::nullopt;
    std::vector<Change> changes;
    while (revision < revision_) changes.push_back(latest_[++revision % kept]);
    return changes;
  }

 private:
  std::uint64_t revision_ = 0;
  std::array<Change, kept> latest_;
};

}  // namespace nthtree::ledger
