// SPDX-License-Identifier: Apache-2.0
#include "sync/record_store.h"

#include "support/records.h"

namespace nthtree::sync {
namespace {

using test::phone_a;
using test::phone_b;

TEST_SUITE("sync") {

TEST_CASE("a store gives back what was put, also behind a hole, in order") {
  RecordStore store;
  for (const std::uint64_t sequence : {1, 2, 5, 4, 9}) {
    store.put({phone_a, sequence}, "r" + std::to_string(sequence));
  }
  store.put({phone_b, 3}, "b3");
  CHECK(store.size() == 6);
  CHECK(store.held_of(phone_a).text() == "1-2,4-5,9");
  store.put({phone_a, 3}, "r3");
  CHECK(store.held_of(phone_a).text() == "1-5,9");
  CHECK(*store.find({phone_a, 5}) == "r5");
  CHECK(*store.find({phone_a, 9}) == "r9");
  CHECK_FALSE(store.find({phone_a, 6}));
  CHECK_FALSE(store.find({phone_b, 1}));
  std::string all;
  store.each([&](const ledger::RecordId&, const std::string& bytes) { all += bytes + " "; });
  CHECK(all == "r1 r2 r3 r4 r5 r9 b3 ");
}

TEST_CASE("a dropped record leaves a hole that can be filled") {
  RecordStore store;
  for (std::uint64_t s = 1; s <= 3; ++s) store.put({phone_a, s}, "r");
  store.drop({phone_a, 2});
  store.drop({phone_a, 2});
  store.drop({phone_b, 1});
  CHECK(store.size() == 2);
  CHECK(store.held_of(phone_a).text() == "1,3");
  store.put({phone_a, 2}, "again");
  CHECK(store.held_of(phone_a).text() == "1-3");
  CHECK(*store.find({phone_a, 2}) == "again");
}

TEST_CASE("replacing a record keeps the count") {
  RecordStore store;
  store.put({phone_a, 1}, "old");
  store.put({phone_a, 1}, "new");
  CHECK(store.size() == 1);
  CHECK(*store.find({phone_a, 1}) == "new");
}

TEST_CASE("a number whose record has moved away is not free") {
  RecordStore store;
  const auto x = test::record_of(phone_a, 5, 5, test::tag(1, 1, 100));
  store.put(x.id, x.bytes);
  CHECK(store.highest_used(phone_a) == 5);
  const auto moved = *rehome(x.bytes);
  store.put(moved.id, moved.bytes);
  store.drop(x.id);
  CHECK(store.held_of(phone_a).highest() == 0);
  CHECK(store.highest_used(phone_a) == 5);
  CHECK(store.highest_used(phone_b) == 0);
}

TEST_CASE("an overlay sees its own changes and leaves the store alone") {
  RecordStore store;
  const auto x = test::record_of(phone_a, 1, 5, test::tag(1, 1, 100));
  const auto y = test::record_of(phone_a, 1, 6, test::tag(1, 2, 200));
  store.put(x.id, x.bytes);
  Overlay overlay(store);
  CHECK(overlay.take(y.id, y.bytes, Rank::owned).outcome == Admission::Outcome::conflict);
  CHECK(overlay.ceded(x.id));
  CHECK_FALSE(store.ceded(x.id));
  CHECK(overlay.take(y.id, y.bytes, Rank::owned).outcome == Admission::Outcome::already_held);
  CHECK(store.size() == 1);
  CHECK(*store.find(x.id) == x.bytes);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
