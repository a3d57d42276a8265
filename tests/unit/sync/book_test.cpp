// SPDX-License-Identifier: Apache-2.0
#include "sync/book.h"

#include "support/records.h"

namespace nthtree::sync {
namespace {

using test::phone_a;
using test::phone_b;

TEST_SUITE("sync") {

TEST_CASE("a book gives back what was put, also behind a hole, in order") {
  Book book;
  for (const std::uint64_t sequence : {1, 2, 5, 4, 9}) {
    book.put({phone_a, sequence}, "r" + std::to_string(sequence));
  }
  book.put({phone_b, 3}, "b3");
  CHECK(book.size() == 6);
  CHECK(book.held_of(phone_a).text() == "1-2,4-5,9");
  book.put({phone_a, 3}, "r3");
  CHECK(book.held_of(phone_a).text() == "1-5,9");
  CHECK(*book.find({phone_a, 5}) == "r5");
  CHECK(*book.find({phone_a, 9}) == "r9");
  CHECK_FALSE(book.find({phone_a, 6}));
  CHECK_FALSE(book.find({phone_b, 1}));
  std::string all;
  book.each([&](const ledger::RecordId&, const std::string& bytes) { all += bytes + " "; });
  CHECK(all == "r1 r2 r3 r4 r5 r9 b3 ");
}

TEST_CASE("a dropped record leaves a hole that can be filled") {
  Book book;
  for (std::uint64_t s = 1; s <= 3; ++s) book.put({phone_a, s}, "r");
  book.drop({phone_a, 2});
  book.drop({phone_a, 2});
  book.drop({phone_b, 1});
  CHECK(book.size() == 2);
  CHECK(book.held_of(phone_a).text() == "1,3");
  book.put({phone_a, 2}, "again");
  CHECK(book.held_of(phone_a).text() == "1-3");
  CHECK(*book.find({phone_a, 2}) == "again");
}

TEST_CASE("replacing a record keeps the count") {
  Book book;
  book.put({phone_a, 1}, "old");
  book.put({phone_a, 1}, "new");
  CHECK(book.size() == 1);
  CHECK(*book.find({phone_a, 1}) == "new");
}

TEST_CASE("a number whose record has moved away is not free") {
  Book book;
  const auto x = test::record_of(phone_a, 5, 5, test::tag(1, 1, 100));
  book.put(x.id, x.bytes);
  CHECK(book.highest_used(phone_a) == 5);
  const auto moved = *rehome(x.bytes);
  book.put(moved.id, moved.bytes);
  book.drop(x.id);
  CHECK(book.held_of(phone_a).highest() == 0);
  CHECK(book.highest_used(phone_a) == 5);
  CHECK(book.highest_used(phone_b) == 0);
}

TEST_CASE("an overlay sees its own changes and leaves the book alone") {
  Book book;
  const auto x = test::record_of(phone_a, 1, 5, test::tag(1, 1, 100));
  const auto y = test::record_of(phone_a, 1, 6, test::tag(1, 2, 200));
  book.put(x.id, x.bytes);
  Overlay overlay(book);
  CHECK(overlay.take(y.id, y.bytes, Rank::owned).outcome == Admission::Outcome::conflict);
  CHECK(overlay.ceded(x.id));
  CHECK_FALSE(book.ceded(x.id));
  CHECK(overlay.take(y.id, y.bytes, Rank::owned).outcome == Admission::Outcome::already_held);
  CHECK(book.size() == 1);
  CHECK(*book.find(x.id) == x.bytes);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
