// SPDX-License-Identifier: Apache-2.0
//
// The sum of many parts of which one changes at a time: a new part, and the sum of all but one,
// cost log2(parts) additions. Nothing is ever taken off a sum, so that it is, to the last bit, what
// the parts as they stand add up to, whatever they were before. Internal to advice/.
//
// A part is anything that starts at zero and has add(const Part&).
//
//   SumTree<SpreadSums> farm(blocks);
//   farm.set(3, spread_of_block_3);
//   SpreadSums others = farm.all_but(3);
#pragma once

#include <bit>
#include <cstddef>
#include <map>
#include <utility>
#include <vector>

namespace nthtree::advice {

template <typename Part>
class SumTree {
 public:
  explicit SumTree(std::size_t parts = 0)
      : leaves_(std::bit_ceil(parts)), nodes_(2 * leaves_), stale_(leaves_, 0) {}

  void set(std::size_t part, Part value) {
    std::size_t node = leaves_ + part;
    nodes_[node] = std::move(value);
    // Whatever is above a stale sum is stale already.
    while ((node /= 2) > 0 && !stale_[node]) stale_[node] = 1;
  }
  const Part& all() { return sum(1); }
  Part all_but(std::size_t part) {
    Part others;
    for (std::size_t node = leaves_ + part; node > 1; node /= 2) others.add(sum(node ^ 1));
    return others;
  }

 private:
  const Part& sum(std::size_t node) {
    if (node < leaves_ && stale_[node]) {
      nodes_[node] = sum(2 * node);
      nodes_[node].add(sum(2 * node + 1));
      stale_[node] = 0;
    }
    return nodes_[node];
  }

  std::size_t leaves_;           // a power of two
  std::vector<Part> nodes_;      // 1: the root; the children of n are 2n and 2n + 1
  std::vector<char> stale_;
};

// Adds a table to another, key by key. Both are in order: one walk through each.
template <typename Key, typename Value>
void add_each(const std::map<Key, Value>& table, std::map<Key, Value>& sums) {
  auto at = sums.begin();
  for (const auto& [key, value] : table) {
    while (at != sums.end() && at->first < key) ++at;
    if (at == sums.end() || key < at->first) at = sums.emplace_hint(at, key, Value());
    at->second.add(value);
  }
}

}  // namespace nthtree::advice
