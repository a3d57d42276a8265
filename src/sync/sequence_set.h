// SPDX-License-Identifier: Apache-2.0
//
// A set of sequence numbers kept as ranges: what somebody holds of one device. Written "1-50,52".
//
// Invariants: ranges are ascending, never touch each other, and begin at 1 or later.
// Not for many scattered numbers: adding is linear in the number of ranges, which is one or two
// for every phone that works as it should.
//
//   SequenceSet held;
//   held.add(1, 50);
//   held.minus(hub).text();   // "12-50": what the hub lacks
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/record.h"

namespace nthtree::sync {

class SequenceSet {
 public:
  struct Range {
    std::uint64_t first = 0, last = 0;  // both ends included
    friend bool operator==(const Range&, const Range&) = default;
  };

  void add(std::uint64_t sequence) { add(sequence, sequence); }
  void add(std::uint64_t first, std::uint64_t last);  // 1 <= first <= last
  void add(const SequenceSet& other);
  void remove(std::uint64_t sequence);

  bool contains(std::uint64_t sequence) const;
  bool empty() const { return ranges_.empty(); }
  std::uint64_t size() const;
  // The highest number up to which all are here; 0 where 1 is not.
  std::uint64_t head() const;
  std::uint64_t highest() const { return ranges_.empty() ? 0 : ranges_.back().last; }
  const std::vector<Range>& ranges() const { return ranges_; }

  SequenceSet minus(const SequenceSet& other) const;
  SequenceSet common_with(const SequenceSet& other) const { return minus(minus(other)); }

  std::string text() const;
  friend bool operator==(const SequenceSet&, const SequenceSet&) = default;

 private:
  std::vector<Range> ranges_;
};

// More ranges than this in one text is not a phone but an attack on the hub's time.
inline constexpr std::size_t ranges_max = 4096;

// Empty where the text is not ascending ranges of numbers from 1 to 10^15 - 1.
std::optional<SequenceSet> parse_sequence_set(std::string_view text);

// What somebody holds of every device. Devices with nothing have no entry.
using Coverage = std::map<ledger::DeviceKey, SequenceSet>;

// What is in `left` and not in `right`.
Coverage minus(const Coverage& left, const Coverage& right);
std::uint64_t size(const Coverage& coverage);
bool contains(const Coverage& coverage, const ledger::RecordId& id);

}  // namespace nthtree::sync
