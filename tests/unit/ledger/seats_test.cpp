// SPDX-License-Identifier: Apache-2.0
#include "ledger/seats.h"

#include <doctest/doctest.h>

#include <set>
#include <vector>

#include "base/random.h"

namespace nthtree::ledger {
namespace {

constexpr DeviceKey one{7, 1}, the_other{7, 2};

TEST_SUITE("ledger") {

TEST_CASE("a record has one seat, which keeps what was put there") {
  Seats seats;
  CHECK_FALSE(seats.find({one, 1}));
  Seat* seat = seats.add({one, 1});
  REQUIRE(seat);
  CHECK(seat->kind + 0 == 0);
  seat->kind = 6;
  seat->block = 70000;
  CHECK_FALSE(seats.add({one, 1}));
  CHECK(seats.find({one, 1})->block + 0 == 70000);
  CHECK_FALSE(seats.find({one, 2}));
  CHECK_FALSE(seats.find({one, 0}));
  CHECK_FALSE(seats.find({the_other, 1}));
  CHECK(seats.size() == 1);
}

TEST_CASE("records in any order, with holes of any width, have the seats they were given") {
  base::Random random(3);
  for (int round = 0; round < 200; ++round) {
    Seats seats;
    std::set<std::uint64_t> given;
    const auto width = static_cast<std::uint64_t>(1) << (3 + random.below(12));
    for (int i = 0; i < 300; ++i) {
      const std::uint64_t sequence = 1 + random.below(static_cast<std::int64_t>(width));
      Seat* seat = seats.add({one, sequence});
      CHECK((seat != nullptr) == given.insert(sequence).second);
      if (seat) seat->at_ms = static_cast<std::int64_t>(sequence * 10);
    }
    CHECK(seats.size() == given.size());
    for (std::uint64_t sequence = 1; sequence <= width; ++sequence) {
      const Seat* seat = seats.find({one, sequence});
      REQUIRE((seat != nullptr) == (given.count(sequence) > 0));
      if (seat) CHECK(seat->at_ms == static_cast<std::int64_t>(sequence * 10));
    }
  }
}

TEST_CASE("a record with the highest number takes no more room than another") {
  Seats seats;
  for (std::uint64_t i = 0; i < 40; ++i) REQUIRE(seats.add({one, std::uint64_t{1} << i}));
  CHECK(seats.add({one, 999999999999999}));
  CHECK_FALSE(seats.add({one, 999999999999999}));
  CHECK(seats.find({one, std::uint64_t{1} << 39}));
  CHECK_FALSE(seats.find({one, (std::uint64_t{1} << 39) - 1}));
  CHECK(seats.size() == 41);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::ledger
