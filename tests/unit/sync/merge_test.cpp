// SPDX-License-Identifier: Apache-2.0
#include "sync/merge.h"

#include <algorithm>

#include "base/random.h"
#include "support/records.h"
#include "sync/record_store.h"

namespace nthtree::sync {
namespace {

using test::phone_a;
using test::phone_b;
using test::record_of;
using test::tag;

std::map<ledger::RecordId, std::string> content(const RecordStore& store) {
  std::map<ledger::RecordId, std::string> all;
  store.each([&](const ledger::RecordId& id, std::string_view bytes) { all[id] = bytes; });
  return all;
}

Admission::Outcome take(RecordStore& store, const ledger::RecordId& id, const std::string& bytes,
                        Rank rank = Rank::owned) {
  Overlay overlay(store);
  const Admission admission = overlay.take(id, bytes, rank);
  overlay.write_to(store);
  return admission.outcome;
}

Admission::Outcome take(RecordStore& store, const ledger::Record& record) {
  return take(store, record.id, record.bytes);
}

TEST_SUITE("sync") {

TEST_CASE("a record received twice changes nothing") {
  RecordStore store;
  const auto record = record_of(phone_a, 1, 5, tag(1, 1, 100));
  CHECK(take(store, record) == Admission::Outcome::added);
  CHECK(take(store, record) == Admission::Outcome::already_held);
  CHECK(store.size() == 1);
}

TEST_CASE("two records with one id are both kept, once each") {
  RecordStore store;
  const auto x = record_of(phone_a, 1, 5, tag(1, 1, 100));
  const auto y = record_of(phone_a, 1, 6, tag(1, 2, 200));
  take(store, x);
  CHECK(take(store, y) == Admission::Outcome::conflict);
  CHECK(store.size() == 2);
  CHECK(take(store, x) == Admission::Outcome::already_held);
  CHECK(take(store, y) == Admission::Outcome::already_held);
  CHECK(store.size() == 2);
}

TEST_CASE("of two records with one id the same one keeps it, whichever came first") {
  const auto x = record_of(phone_a, 1, 5, tag(1, 1, 100));
  const auto y = record_of(phone_a, 1, 6, tag(1, 2, 200));
  RecordStore one, other;
  take(one, x), take(one, y);
  take(other, y), take(other, x);
  CHECK(content(one) == content(other));
}

TEST_CASE("a re-homed form without a conflict took a record from its id, and what withdrew it missed") {
  const auto x = record_of(phone_a, 1, 5, tag(1, 1, 100));
  const auto moved = *rehome(x.bytes);
  for (const Rank rank : {Rank::owned, Rank::hearsay}) {
    RecordStore store;
    take(store, x);
    CHECK(take(store, moved.id, moved.bytes, rank) == Admission::Outcome::already_held);
    CHECK(store.size() == 1);
    CHECK(store.bytes(x.id) == x.bytes);
    Overlay overlay(store);
    CHECK(overlay.take(moved.id, moved.bytes, rank).wanted == x.id);
  }
}

TEST_CASE("a re-homed form that comes first gives its id back when its record comes") {
  const auto x = record_of(phone_a, 1, 5, tag(1, 1, 100));
  const auto moved = *rehome(x.bytes);
  RecordStore store;
  CHECK(take(store, moved.id, moved.bytes, Rank::hearsay) == Admission::Outcome::added);
  CHECK(store.holds(moved.id));
  take(store, x);
  CHECK(store.size() == 1);
  CHECK(store.bytes(x.id) == x.bytes);
  CHECK(store.rank(x.id) == Rank::owned);
}

TEST_CASE("what an owner brings takes its id from hearsay, whatever the digests say") {
  const auto x = record_of(phone_a, 1, 5, tag(1, 1, 100));
  const auto y = record_of(phone_a, 1, 6, tag(1, 2, 200));
  for (const auto& [owned, forged] : {std::pair{x, y}, std::pair{y, x}}) {
    RecordStore late, early;
    take(late, forged.id, forged.bytes, Rank::hearsay);
    CHECK(take(late, owned) == Admission::Outcome::conflict);
    take(early, owned);
    take(early, forged.id, forged.bytes, Rank::hearsay);
    CHECK(content(late) == content(early));
    CHECK(late.bytes(owned.id) == owned.bytes);
    CHECK(late.rank(owned.id) == Rank::owned);
    CHECK(late.rank(rehomed_id(forged.bytes)) == Rank::hearsay);
  }
}

TEST_CASE("bytes too long to be moved under somebody's next id made the true record vanish") {
  std::string longest = "{\"id\":\"" + ledger::RecordId{phone_a, 1}.text() + "\",\"x\":\"";
  longest += std::string(kept_bytes_max - longest.size() - 2, 'x') + "\"}";
  REQUIRE(well_formed_id(longest));
  REQUIRE_FALSE(rehome(longest));
  const auto x = record_of(phone_a, 1, 5, tag(1, 1, 100));
  RecordStore store;
  take(store, x.id, longest, Rank::hearsay);
  Overlay overlay(store);
  const Admission admission = overlay.take(x.id, x.bytes, Rank::owned);
  overlay.write_to(store);
  CHECK(admission.outcome == Admission::Outcome::conflict);
  REQUIRE(admission.out.size() == 1);
  CHECK(admission.out[0].bytes == longest);
  CHECK(store.bytes(x.id) == x.bytes);
  CHECK(take(store, x.id, longest, Rank::hearsay) == Admission::Outcome::no_place);
  CHECK(store.bytes(x.id) == x.bytes);
}

TEST_CASE("whoever takes the id of a re-homed record leaves it when that comes") {
  const auto x = record_of(phone_a, 1, 5, tag(1, 1, 100));
  const auto y = record_of(phone_a, 1, 6, tag(1, 2, 200));
  const auto loser = keeps_id(x.bytes, y.bytes) ? y : x;
  const auto squatter = record_of(rehomed_id(loser.bytes).device, 1, 9, tag(9, 9, 9));
  RecordStore before, after;
  for (const auto& record : {squatter, x, y}) take(before, record);
  for (const auto& record : {x, y, squatter}) take(after, record);
  CHECK(before.size() == 3);
  CHECK(content(before) == content(after));
  CHECK(before.holds(rehomed_id(loser.bytes)));
}

TEST_CASE("any order of owned, hearsay and re-homed arrivals gives one state, ranks too") {
  base::Random random(12);
  for (int round = 0; round < 400; ++round) {
    struct Arriving { RawRecord record; Rank rank; };
    std::vector<Arriving> all;
    for (int i = 0; i < 4; ++i) {
      const auto record = record_of(phone_a, 1, static_cast<int>(random.below(1000)),
                                    tag(1, i + 1, static_cast<int>(random.below(500))));
      const Rank rank = random.chance(0.5) ? Rank::owned : Rank::hearsay;
      all.push_back({{record.id, record.bytes}, rank});
      if (random.chance(0.4)) all.push_back({{record.id, record.bytes}, Rank::owned});
      if (random.chance(0.4)) {
        const Rank other = random.chance(0.5) ? Rank::owned : Rank::hearsay;
        all.push_back({*rehome(record.bytes), other});
      }
    }
    std::vector<RecordStore> stores(2);
    for (RecordStore& store : stores) {
      for (std::size_t k = all.size(); k > 1; --k) std::swap(all[k - 1], all[random.below(k)]);
      for (const Arriving& one : all) take(store, one.record.id, one.record.bytes, one.rank);
    }
    REQUIRE(content(stores[0]) == content(stores[1]));
    REQUIRE(stores[0].hearsay() == stores[1].hearsay());
  }
}

// The heart of "nothing lost, nothing doubled": whatever meets whatever in whatever order.
TEST_CASE("any order of the same arrivals, with repeats, gives the same holdings") {
  base::Random random(11);
  for (int round = 0; round < 400; ++round) {
    // A few ids that up to four records claim, and whole devices exchanging what they hold.
    std::vector<ledger::Record> records;
    for (int id = 1; id <= 3; ++id) {
      const int claims = 1 + static_cast<int>(random.below(4));
      for (int i = 0; i < claims; ++i) {
        records.push_back(record_of(i % 2 ? phone_a : phone_a, static_cast<std::uint64_t>(id),
                                    static_cast<int>(random.below(1000)),
                                    tag(id, i + 1, static_cast<int>(random.below(500)))));
      }
    }
    records.push_back(record_of(phone_b, 1, 3, tag(9, 9, 9)));
    std::vector<RecordStore> stores(3);
    for (RecordStore& store : stores) {
      for (int i = 0; i < 12; ++i) take(store, records[random.below(records.size())]);
    }
    // They pass on whatever they hold, re-homed records too, until all have seen everything.
    for (const auto& record : records) take(stores[random.below(3)], record);
    for (int i = 0; i < 8; ++i) {
      auto lines = content(stores[random.below(3)]);
      std::vector<RawRecord> shuffled;
      for (const auto& [id, bytes] : lines) shuffled.push_back({id, bytes});
      for (std::size_t k = shuffled.size(); k > 1; --k) {
        std::swap(shuffled[k - 1], shuffled[random.below(k)]);
      }
      RecordStore& to = stores[random.below(3)];
      for (const RawRecord& record : shuffled) take(to, record.id, record.bytes);
    }
    for (int sweep = 0; sweep < 3; ++sweep) {
      for (const RecordStore& from : stores) {
        for (RecordStore& to : stores) {
          for (const auto& [id, bytes] : content(from)) take(to, id, bytes);
        }
      }
    }
    REQUIRE(content(stores[0]) == content(stores[1]));
    REQUIRE(content(stores[0]) == content(stores[2]));
    // Each record that ever was is there exactly once, by what it says.
    std::set<std::string> distinct;
    for (const auto& record : records) distinct.insert(record.bytes);
    REQUIRE(stores[0].size() == distinct.size());
    std::set<std::string> origins;
    for (const auto& [id, bytes] : content(stores[0])) {
      const auto original = original_of(id, bytes);
      origins.insert(original ? original->bytes : bytes);
    }
    REQUIRE(origins == distinct);
  }
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
