// SPDX-License-Identifier: Apache-2.0
#include "ledger/current.h"

#include <doctest/doctest.h>

#include <vector>

using namespace nthtree::ledger;

namespace {

Entries<TagCount> entries(const std::vector<int>& spurs, const std::vector<bool>& withdrawn) {
  Entries<TagCount> made;
  for (std::size_t i = 0; i < spurs.size(); ++i) {
    Entry<TagCount> entry;
    entry.body.spurs = spurs[i];
    entry.withdrawn = withdrawn[i];
    made.push_back(entry);
  }
  return made;
}

template <typename Range>
std::vector<int> spurs_of(const Range& range) {
  std::vector<int> spurs;
  for (const auto& entry : range) spurs.push_back(entry.body.spurs);
  return spurs;
}

}  // namespace

TEST_SUITE("ledger") {
  TEST_CASE("withdrawn entries are passed over, at the ends as well, in either direction") {
    const auto list = entries({1, 2, 3, 4, 5}, {true, false, true, false, true});
    CHECK(spurs_of(current(list)) == std::vector<int>{2, 4});
    CHECK(spurs_of(current_newest_first(list)) == std::vector<int>{4, 2});
    const auto none = entries({1, 2}, {true, true});
    CHECK(spurs_of(current(none)).empty());
    CHECK(spurs_of(current(Entries<TagCount>{})).empty());
  }
}
