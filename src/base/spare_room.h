// SPDX-License-Identifier: Apache-2.0
//
// The room that a long list keeps beyond its entries, while it is filled and then. One that grows
// by itself doubles: many that are filled side by side hold half as much again as is in them,
// and a page's memory never shrinks. None at all would make the next entry move all that are there,
// in the middle of a count.
//
//   for (const auto& line : lines) {
//     base::make_room(counts);
//     counts.push_back(read(line));
//   }
//   base::give_back_room(counts);
#pragma once

#include <cstddef>
#include <iterator>
#include <utility>
#include <vector>

namespace nthtree::base {

// For one entry more: a quarter of what is there, where there is none.
template <typename T>
void make_room(std::vector<T>& list) {
  const std::size_t size = list.size();
  if (size == list.capacity()) list.reserve(size + size / 4 + 4);
}

// A thirty-second of what is there stays.
inline std::size_t size_with_room(std::size_t size) { return size + size / 32 + 16; }

template <typename T>
void give_back_room(std::vector<T>& list) {
  const std::size_t fit = size_with_room(list.size()), room = fit - list.size();
  const std::size_t spare = list.capacity() - list.size();
  if (spare >= room / 2 && spare <= 2 * room) return;
  std::vector<T> fitting;
  fitting.reserve(fit);
  fitting.insert(fitting.end(), std::make_move_iterator(list.begin()),
                 std::make_move_iterator(list.end()));
  list = std::move(fitting);
}

}  // namespace nthtree::base
