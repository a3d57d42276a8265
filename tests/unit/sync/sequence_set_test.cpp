// SPDX-License-Identifier: Apache-2.0
#include "sync/sequence_set.h"

#include <doctest/doctest.h>

#include <set>

#include "base/random.h"

namespace nthtree::sync {
namespace {

SequenceSet made_of(const std::set<std::uint64_t>& numbers) {
  SequenceSet set;
  for (const std::uint64_t n : numbers) set.add(n);
  return set;
}

TEST_SUITE("sync") {

TEST_CASE("ranges that touch become one") {
  SequenceSet set;
  set.add(1, 3);
  set.add(7);
  set.add(5);
  CHECK(set.text() == "1-3,5,7");
  set.add(4);
  CHECK(set.text() == "1-5,7");
  set.add(6);
  CHECK(set.text() == "1-7");
  CHECK(set.head() == 7);
}

TEST_CASE("a head is there only from one on") {
  SequenceSet set;
  CHECK(set.head() == 0);
  set.add(2, 9);
  CHECK(set.head() == 0);
  CHECK(set.highest() == 9);
  set.add(1);
  CHECK(set.head() == 9);
}

TEST_CASE("ranges behave as the plain set of numbers they stand for") {
  base::Random random(7);
  for (int round = 0; round < 300; ++round) {
    std::set<std::uint64_t> left, right;
    SequenceSet a, b;
    for (int i = 0; i < 40; ++i) {
      const std::uint64_t first = 1 + random.below(60), last = first + random.below(4);
      if (random.chance(0.3)) {
        left.erase(first);
        a.remove(first);
      } else if (random.chance(0.5)) {
        for (std::uint64_t n = first; n <= last; ++n) left.insert(n);
        a.add(first, last);
      } else {
        for (std::uint64_t n = first; n <= last; ++n) right.insert(n);
        b.add(first, last);
      }
    }
    REQUIRE(a == made_of(left));
    REQUIRE(a.size() == left.size());
    std::set<std::uint64_t> difference, both;
    for (const std::uint64_t n : left) (right.count(n) ? both : difference).insert(n);
    CHECK(a.minus(b) == made_of(difference));
    CHECK(a.common_with(b) == made_of(both));
    for (std::uint64_t n = 1; n < 66; ++n) REQUIRE(a.contains(n) == (left.count(n) > 0));
    const auto again = parse_sequence_set(a.text());
    REQUIRE(again);
    CHECK(*again == a);
  }
}

TEST_CASE("text that is not ascending ranges is refused") {
  for (const char* bad : {"0", "1-0", "2-1", "1,1", "3,2", "1-4,4", "a", "1-", "-1", "1,", ",1", "1 ",
                          "01", "1000000000000000", "1--2", "1.5", "99999999999999999999"}) {
    CAPTURE(bad);
    CHECK_FALSE(parse_sequence_set(bad));
  }
  CHECK(parse_sequence_set("")->empty());
  CHECK(parse_sequence_set("999999999999999")->highest() == 999999999999999);
}

TEST_CASE("as many ranges as are allowed are read, and not one more") {
  std::string text;
  for (std::size_t i = 0; i < ranges_max; ++i) {
    text += (i ? "," : "") + std::to_string(1 + 2 * i);
  }
  CHECK(parse_sequence_set(text));
  CHECK_FALSE(parse_sequence_set(text + ",900000"));
}

TEST_CASE("what one holds and another lacks is told by device") {
  const ledger::DeviceKey a{1, 1}, b{2, 2};
  Coverage left, right;
  left[a].add(1, 10);
  left[b].add(1, 5);
  right[a].add(1, 7);
  const Coverage rest = minus(left, right);
  CHECK(rest.at(a).text() == "8-10");
  CHECK(rest.at(b).text() == "1-5");
  CHECK(size(rest) == 8);
  CHECK(minus(left, left).empty());
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
