// SPDX-License-Identifier: Apache-2.0
//
// The room that a long list keeps beyond its entries, once it has been filled. Growing leaves up to
// as much again behind, which in a phone's memory is worth one copy; none at all would make the
// next entry move all that are there, in the middle of a count.
//
//   for (const auto& line : lines) counts.push_back(read(line));
//   base::give_back_room(counts);
#pragma once

#include <iterator>
#include <utility>
#include <vector>

namespace nthtree::base {

template <typename T>
void give_back_room(std::vector<T>& list) {
  const std::size_t room = list.size() / 32 + 16, spare = list.capacity() - list.size();
  if (spare >= room / 2 && spare <= 2 * room) return;
  std::vector<T> fitting;
  fitting.reserve(list.size() + room);
  fitting.insert(fitting.end(), std::make_move_iterator(list.begin()),
                 std::make_move_iterator(list.end()));
  list = std::move(fitting);
}

}  // namespace nthtree::base
