// SPDX-License-Identifier: Apache-2.0
#include "sync/record_store.h"

#include <map>
#include <utility>

#include "support/records.h"
#include "sync/packed_lines.h"

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
  CHECK(store.bytes({phone_a, 5}) == "r5");
  CHECK(store.bytes({phone_a, 9}) == "r9");
  CHECK_FALSE(store.holds({phone_a, 6}));
  CHECK_FALSE(store.holds({phone_b, 1}));
  std::string all;
  store.each([&](const ledger::RecordId&, std::string_view bytes) { (all += bytes) += " "; });
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
  CHECK(store.bytes({phone_a, 2}) == "again");
}

TEST_CASE("replacing a record keeps the count") {
  RecordStore store;
  store.put({phone_a, 1}, "old");
  store.put({phone_a, 1}, "new");
  CHECK(store.size() == 1);
  CHECK(store.bytes({phone_a, 1}) == "new");
}

// Records 1 … of a phone, as they would be written.
std::map<std::uint64_t, std::string> records_of(const ledger::DeviceKey& device, int records) {
  std::map<std::uint64_t, std::string> all;
  for (int s = 1; s <= records; ++s) {
    all[s] = test::record_of(device, s, 100 + 40 * s, test::tag(1 + s % 60, s, s % 300)).bytes;
  }
  return all;
}

RecordStore store_of(const std::map<std::uint64_t, std::string>& records) {
  RecordStore store;
  for (const auto& [sequence, bytes] : records) store.put({phone_a, sequence}, bytes);
  return store;
}

std::map<std::uint64_t, std::string> by_sequence(const RecordStore& store) {
  std::map<std::uint64_t, std::string> all;
  store.each([&](const ledger::RecordId& id, std::string_view bytes) { all[id.sequence] = bytes; });
  return all;
}

std::size_t bytes_in(const std::map<std::uint64_t, std::string>& records) {
  std::size_t bytes = 0;
  for (const auto& [sequence, text] : records) bytes += text.size() + 1;
  return bytes;
}

TEST_CASE("a whole thousand is packed and reads as before") {
  const auto records = records_of(phone_a, 2500);
  const RecordStore store = store_of(records);
  CHECK(store.packed(phone_a, 1).size() < bytes_in(records) / 2500 * 1000 / 3);
  CHECK_FALSE(store.packed(phone_a, 1001).empty());
  CHECK(store.packed(phone_a, 2001).empty());  // not whole yet
  CHECK(store.packed(phone_a, 500).empty());
  CHECK(store.packed(phone_a, 9001).empty());
  CHECK(store.packed(phone_b, 1).empty());
  CHECK(by_sequence(store) == records);
  for (const auto& [sequence, bytes] : records) CHECK(store.bytes({phone_a, sequence}) == bytes);
  CHECK_FALSE(store.bytes({phone_a, 2501}));
  const auto all = store.amount(store.coverage());
  CHECK(all.records == 2500);
  CHECK(all.bytes == bytes_in(records));
}

TEST_CASE("a replaced or dropped record of a packed thousand is replaced or dropped alone") {
  auto records = records_of(phone_a, 1500);
  RecordStore store = store_of(records);
  CHECK(store.bytes({phone_a, 17}) == records[17]);
  records[17] = records_of(phone_b, 17)[17];
  store.put({phone_a, 17}, records[17]);
  CHECK(store.bytes({phone_a, 17}) == records[17]);
  CHECK_FALSE(store.packed(phone_a, 1).empty());
  CHECK(by_sequence(store) == records);
  CHECK(store.size() == 1500);

  store.drop({phone_a, 18});
  const std::string dropped = std::exchange(records[18], "");
  records.erase(18);
  CHECK(store.packed(phone_a, 1).empty());
  CHECK_FALSE(store.bytes({phone_a, 18}));
  CHECK(by_sequence(store) == records);
  CHECK(store.amount(store.coverage()).bytes == bytes_in(records));

  store.put({phone_a, 18}, dropped);
  records[18] = dropped;
  CHECK_FALSE(store.packed(phone_a, 1).empty());
  CHECK(by_sequence(store) == records);
}

TEST_CASE("a confirmed record of a packed thousand changes its rank alone") {
  const auto records = records_of(phone_a, 1000);
  RecordStore store = store_of(records);
  store.demote(store.coverage());
  CHECK(store.rank({phone_a, 7}) == Rank::hearsay);
  store.put({phone_a, 7}, records.at(7), Rank::owned);
  CHECK(store.rank({phone_a, 7}) == Rank::owned);
  CHECK(store.rank({phone_a, 8}) == Rank::hearsay);
  CHECK_FALSE(store.packed(phone_a, 1).empty());
}

TEST_CASE("some of the records are found across thousands and behind holes") {
  const auto records = records_of(phone_a, 2100);
  RecordStore store = store_of(records);
  store.put({phone_a, 2200}, "behind");
  store.drop({phone_a, 1001});
  Coverage some;
  some[phone_a].add(998, 1003);
  some[phone_a].add(2099, 999999);
  some[phone_b].add(1, 10);
  std::string found;
  std::size_t bytes = 0;
  store.each_of(some, [&](const ledger::RecordId& id, std::string_view text) {
    found += std::to_string(id.sequence) + " ";
    bytes += text.size() + 1;
    CHECK(store.bytes(id) == text);
  });
  CHECK(found == "998 999 1000 1002 1003 2099 2100 2200 ");
  CHECK(store.amount(some).records == 8);
  CHECK(store.amount(some).bytes == bytes);
}

TEST_CASE("a packed thousand goes to another store as it is") {
  const auto records = records_of(phone_a, 2000);
  const RecordStore from = store_of(records);
  const auto packed = [&](std::uint64_t first) { return std::string(from.packed(phone_a, first)); };
  const auto whole = [](const ledger::DeviceKey& device, std::uint64_t first, std::string lines) {
    return RecordStore::Packed{device, first, 1000, std::move(lines)};
  };
  RecordStore to;
  SequenceSet hearsay;
  hearsay.add(900, 1005);
  CHECK_FALSE(to.put_packed(whole(phone_a, 1001, packed(1001))));  // not the next
  CHECK_FALSE(to.put_packed(whole(phone_a, 1, packed(1001))));     // other records
  CHECK_FALSE(to.put_packed(whole(phone_b, 1, packed(1))));
  CHECK_FALSE(to.put_packed(whole(phone_a, 1, packed(1).substr(0, 5000))));
  CHECK_FALSE(to.put_packed(whole(phone_a, 1, "")));
  CHECK_FALSE(to.put_packed({phone_a, 1, 999, packed(1)}));
  CHECK_FALSE(to.put_packed({phone_a, 1, 0, packed(1)}));
  CHECK(to.size() == 0);
  CHECK(to.coverage().empty());

  const auto lines = to.put_packed(whole(phone_a, 1, packed(1)), hearsay);
  REQUIRE(lines.has_value());
  CHECK(lines->size() == 1000);
  CHECK(lines->text(0) == records.at(1));
  CHECK_FALSE(to.put_packed(whole(phone_a, 1, packed(1))));  // it is here
  CHECK(to.put_packed(whole(phone_a, 1001, packed(1001)), hearsay).has_value());
  CHECK(by_sequence(to) == records);
  CHECK(to.size() == 2000);
  CHECK(to.hearsay().at(phone_a).text() == "900-1005");
  CHECK(to.packed(phone_a, 1001) == from.packed(phone_a, 1001));
}

// The first 1,300 of 1,999 records, the last 300 of them as part of a thousand.
RecordStore store_with_packed_part(const std::map<std::uint64_t, std::string>& records) {
  RecordStore store;
  for (const auto& [first, last] : {std::pair{1u, 1000u}, {1001u, 1300u}}) {
    std::vector<std::string_view> lines;
    for (std::uint64_t s = first; s <= last; ++s) lines.push_back(records.at(s));
    REQUIRE(store.put_packed({phone_a, first, lines.size(), pack_lines(lines)}));
  }
  return store;
}

TEST_CASE("a thousand that came packed in part grows until it is whole, and reads as before") {
  const auto records = records_of(phone_a, 2500);
  RecordStore store = store_with_packed_part(records);
  CHECK_FALSE(store.put_packed({phone_a, 1301, 1, pack_lines({records.at(1301)})}));
  for (std::uint64_t s = 1301; s <= 2500; ++s) {
    CHECK(store.bytes({phone_a, 1200}) == records.at(1200));  // unpacked, and here until the next
    store.put({phone_a, s}, records.at(s));
    CHECK(store.bytes({phone_a, s}) == records.at(s));
    CHECK(store.size() == s);
    if (s % 100 != 50) continue;
    Coverage some;
    some[phone_a].add(900, s - 1);
    std::size_t bytes = 0;
    for (std::uint64_t k = 900; k < s; ++k) bytes += records.at(k).size() + 1;
    CHECK(store.amount(some).records == s - 900);
    CHECK(store.amount(some).bytes == bytes);
  }
  CHECK(by_sequence(store) == records);
  CHECK(store.packed(phone_a, 1001) == store_of(records).packed(phone_a, 1001));
}

TEST_CASE("a record of a thousand that came packed in part is replaced, dropped and filled alone") {
  auto records = records_of(phone_a, 1400);
  RecordStore store = store_with_packed_part(records);
  for (std::uint64_t s = 1301; s <= 1400; ++s) store.put({phone_a, s}, records[s]);
  const auto same = [&] {
    for (const auto& [sequence, bytes] : records) {
      REQUIRE(store.bytes({phone_a, sequence}) == bytes);
    }
    CHECK(store.amount(store.coverage()).bytes == bytes_in(records));
    return by_sequence(store) == records;
  };
  CHECK(same());
  for (const std::uint64_t s : {1001, 1300, 1301, 1400}) {
    records[s] = records_of(phone_b, 1400)[s];
    store.put({phone_a, s}, records[s]);
    CHECK(same());
    const std::string dropped = records[s];
    store.drop({phone_a, s});
    records.erase(s);
    CHECK_FALSE(store.holds({phone_a, s}));
    CHECK(same());
    store.put({phone_a, s}, dropped);
    records[s] = dropped;
    CHECK(same());
  }
  for (const auto& [sequence, bytes] : records_of(phone_a, 2000)) {
    if (sequence <= 1400) continue;
    store.put({phone_a, sequence}, bytes);
    records[sequence] = bytes;
  }
  CHECK_FALSE(store.packed(phone_a, 1001).empty());
  CHECK(same());
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
  CHECK(store.bytes(x.id) == x.bytes);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
