// SPDX-License-Identifier: Apache-2.0
#include "sync/merge.h"

#include <algorithm>

#include "base/random.h"
#include "support/records.h"
#include "sync/book.h"

namespace nthtree::sync {
namespace {

using test::phone_a;
using test::phone_b;
using test::record_of;
using test::tag;

std::map<ledger::RecordId, std::string> content(const Book& book) {
  std::map<ledger::RecordId, std::string> all;
  book.each([&](const ledger::RecordId& id, const std::string& bytes) { all[id] = bytes; });
  return all;
}

Admission::Outcome take(Book& book, const ledger::RecordId& id, const std::string& bytes,
                        Rank rank = Rank::owned) {
  Overlay overlay(book);
  const Admission admission = overlay.take(id, bytes, rank);
  overlay.write_to(book);
  return admission.outcome;
}

Admission::Outcome take(Book& book, const ledger::Record& record) {
  return take(book, record.id, record.bytes);
}

TEST_SUITE("sync") {

TEST_CASE("a record received twice changes nothing") {
  Book book;
  const auto record = record_of(phone_a, 1, 5, tag(1, 1, 100));
  CHECK(take(book, record) == Admission::Outcome::added);
  CHECK(take(book, record) == Admission::Outcome::already_held);
  CHECK(book.size() == 1);
}

TEST_CASE("two records with one id are both kept, once each") {
  Book book;
  const auto x = record_of(phone_a, 1, 5, tag(1, 1, 100));
  const auto y = record_of(phone_a, 1, 6, tag(1, 2, 200));
  take(book, x);
  CHECK(take(book, y) == Admission::Outcome::conflict);
  CHECK(book.size() == 2);
  CHECK(take(book, x) == Admission::Outcome::already_held);
  CHECK(take(book, y) == Admission::Outcome::already_held);
  CHECK(book.size() == 2);
}

TEST_CASE("of two records with one id the same one keeps it, whichever came first") {
  const auto x = record_of(phone_a, 1, 5, tag(1, 1, 100));
  const auto y = record_of(phone_a, 1, 6, tag(1, 2, 200));
  Book one, other;
  take(one, x), take(one, y);
  take(other, y), take(other, x);
  CHECK(content(one) == content(other));
}

TEST_CASE("a re-homed form without a conflict took a record from its id, and what withdrew it missed") {
  const auto x = record_of(phone_a, 1, 5, tag(1, 1, 100));
  const auto moved = *rehome(x.bytes);
  for (const Rank rank : {Rank::owned, Rank::hearsay}) {
    Book book;
    take(book, x);
    CHECK(take(book, moved.id, moved.bytes, rank) == Admission::Outcome::already_held);
    CHECK(book.size() == 1);
    CHECK(*book.find(x.id) == x.bytes);
    Overlay overlay(book);
    CHECK(overlay.take(moved.id, moved.bytes, rank).wanted == x.id);
  }
}

TEST_CASE("a re-homed form that comes first gives its id back when its record comes") {
  const auto x = record_of(phone_a, 1, 5, tag(1, 1, 100));
  const auto moved = *rehome(x.bytes);
  Book book;
  CHECK(take(book, moved.id, moved.bytes, Rank::hearsay) == Admission::Outcome::added);
  CHECK(book.find(moved.id));
  take(book, x);
  CHECK(book.size() == 1);
  CHECK(*book.find(x.id) == x.bytes);
  CHECK(book.rank(x.id) == Rank::owned);
}

TEST_CASE("what an owner brings takes its id from hearsay, whatever the digests say") {
  const auto x = record_of(phone_a, 1, 5, tag(1, 1, 100));
  const auto y = record_of(phone_a, 1, 6, tag(1, 2, 200));
  for (const auto& [owned, forged] : {std::pair{x, y}, std::pair{y, x}}) {
    Book late, early;
    take(late, forged.id, forged.bytes, Rank::hearsay);
    CHECK(take(late, owned) == Admission::Outcome::conflict);
    take(early, owned);
    take(early, forged.id, forged.bytes, Rank::hearsay);
    CHECK(content(late) == content(early));
    CHECK(*late.find(owned.id) == owned.bytes);
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
  Book book;
  take(book, x.id, longest, Rank::hearsay);
  Overlay overlay(book);
  const Admission admission = overlay.take(x.id, x.bytes, Rank::owned);
  overlay.write_to(book);
  CHECK(admission.outcome == Admission::Outcome::conflict);
  REQUIRE(admission.out.size() == 1);
  CHECK(admission.out[0].bytes == longest);
  CHECK(*book.find(x.id) == x.bytes);
  CHECK(take(book, x.id, longest, Rank::hearsay) == Admission::Outcome::no_place);
  CHECK(*book.find(x.id) == x.bytes);
}

TEST_CASE("whoever takes the id of a re-homed record leaves it when that comes") {
  const auto x = record_of(phone_a, 1, 5, tag(1, 1, 100));
  const auto y = record_of(phone_a, 1, 6, tag(1, 2, 200));
  const auto loser = keeps_id(x.bytes, y.bytes) ? y : x;
  const auto squatter = record_of(rehomed_id(loser.bytes).device, 1, 9, tag(9, 9, 9));
  Book before, after;
  for (const auto& record : {squatter, x, y}) take(before, record);
  for (const auto& record : {x, y, squatter}) take(after, record);
  CHECK(before.size() == 3);
  CHECK(content(before) == content(after));
  CHECK(before.find(rehomed_id(loser.bytes)));
}

TEST_CASE("any order of owned, hearsay and re-homed arrivals gives one state, ranks too") {
  base::Random random(12);
  for (int round = 0; round < 400; ++round) {
    struct Arriving { Place place; Rank rank; };
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
    std::vector<Book> books(2);
    for (Book& book : books) {
      for (std::size_t k = all.size(); k > 1; --k) std::swap(all[k - 1], all[random.below(k)]);
      for (const Arriving& one : all) take(book, one.place.id, one.place.bytes, one.rank);
    }
    REQUIRE(content(books[0]) == content(books[1]));
    REQUIRE(books[0].hearsay() == books[1].hearsay());
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
    std::vector<Book> books(3);
    for (Book& book : books) {
      for (int i = 0; i < 12; ++i) take(book, records[random.below(records.size())]);
    }
    // They pass on whatever they hold, re-homed records too, until all have seen everything.
    for (const auto& record : records) take(books[random.below(3)], record);
    for (int i = 0; i < 8; ++i) {
      auto lines = content(books[random.below(3)]);
      std::vector<Place> shuffled;
      for (const auto& [id, bytes] : lines) shuffled.push_back({id, bytes});
      for (std::size_t k = shuffled.size(); k > 1; --k) {
        std::swap(shuffled[k - 1], shuffled[random.below(k)]);
      }
      Book& to = books[random.below(3)];
      for (const Place& place : shuffled) take(to, place.id, place.bytes);
    }
    for (int sweep = 0; sweep < 3; ++sweep) {
      for (const Book& from : books) {
        for (Book& to : books) {
          for (const auto& [id, bytes] : content(from)) take(to, id, bytes);
        }
      }
    }
    REQUIRE(content(books[0]) == content(books[1]));
    REQUIRE(content(books[0]) == content(books[2]));
    // Each record that ever was is there exactly once, by what it says.
    std::set<std::string> distinct;
    for (const auto& record : records) distinct.insert(record.bytes);
    REQUIRE(books[0].size() == distinct.size());
    std::set<std::string> origins;
    for (const auto& [id, bytes] : content(books[0])) {
      const auto original = original_of(id, bytes);
      origins.insert(original ? original->bytes : bytes);
    }
    REQUIRE(origins == distinct);
  }
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
