// SPDX-License-Identifier: Apache-2.0
//
// Packed records (packed_lines.h) as lines again, the blocks that were looked into last: whoever
// merges a page asks several times for the same record and for its neighbours.
//
// Invariant: what is kept under a key is what was packed there; whoever changes it says forget.
//
//   const std::string_view line = blocks.of({device, 0}, [&] { return Lines(text); })[17];
#pragma once

#include <cstddef>
#include <cstdint>
#include <list>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "ledger/record_id.h"

namespace nthtree::sync {

// A text of lines, each with its line break, by number.
class Lines {
 public:
  Lines() = default;
  explicit Lines(std::string text);

  std::size_t size() const { return ends_.size(); }
  std::string_view operator[](std::size_t line) const {
    const std::size_t begin = line == 0 ? 0 : ends_[line - 1] + 1;
    return std::string_view(text_).substr(begin, ends_[line] - begin);
  }

 private:
  std::string text_;
  std::vector<std::uint32_t> ends_;  // where the line break of each is
};

class UnpackedBlocks {
 public:
  // The hub's pages mix the devices of a farm, each of which is somewhere in one block.
  static constexpr std::size_t kept_max = 48;

  struct Key {
    ledger::DeviceKey device;
    std::size_t block = 0;
    friend bool operator==(const Key&, const Key&) = default;
  };
  // Calls unpack() for it unless it is here. Good until the next call.
  template <typename Unpack>
  const Lines& of(const Key& key, Unpack&& unpack) {
    if (!is_at_front(key)) add_at_front(key, unpack());
    return kept_.front().second;
  }
  void forget(const Key& key);
  void clear() { kept_.clear(); }

 private:
  bool is_at_front(const Key& key);  // now; false where it is not here
  void add_at_front(const Key& key, Lines lines);

  std::list<std::pair<Key, Lines>> kept_;  // what was asked for last comes first
};

}  // namespace nthtree::sync
