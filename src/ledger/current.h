// SPDX-License-Identifier: Apache-2.0
//
// The entries of a list that stand: withdrawn ones are passed over, and those of another season
// than the one at hand. Everybody who shows or counts what stands goes through here;
// only an entry's own page shows a withdrawn one.
//
//   for (const auto& entry : ledger::current(block.tag_counts)) …
//   for (const auto& entry : ledger::current_newest_first(block.tag_counts)) …
#pragma once

#include <iterator>

#include "ledger/block_season.h"

namespace nthtree::ledger {

// Not taken back; of whatever season.
template <typename T>
bool stands(const Entry<T>& entry) {
  return !entry.withdrawn;
}
// And of the season at hand.
template <typename T>
bool is_current(const Entry<T>& entry) {
  return stands(entry) && !entry.closed;
}

template <typename At>
class CurrentRange {
 public:
  class iterator {
   public:
    iterator(At at, At end) : at_(at), end_(end) { pass_over(); }
    const auto& operator*() const { return *at_; }
    iterator& operator++() {
      ++at_;
      pass_over();
      return *this;
    }
    bool operator!=(const iterator& other) const { return at_ != other.at_; }

   private:
    void pass_over() {
      while (at_ != end_ && !is_current(*at_)) ++at_;
    }
    At at_, end_;
  };

  CurrentRange(At begin, At end) : begin_(begin), end_(end) {}
  iterator begin() const { return {begin_, end_}; }
  iterator end() const { return {end_, end_}; }

 private:
  At begin_, end_;
};

// The list must outlive what is returned.
template <typename T>
auto current(const Entries<T>& entries) {
  return CurrentRange(entries.begin(), entries.end());
}
template <typename T>
auto current_newest_first(const Entries<T>& entries) {
  return CurrentRange(entries.rbegin(), entries.rend());
}

}  // namespace nthtree::ledger
