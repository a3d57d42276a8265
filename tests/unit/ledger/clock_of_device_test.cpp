// SPDX-License-Identifier: Apache-2.0
#include "ledger/clock_of_device.h"

#include <doctest/doctest.h>

namespace nthtree::ledger {
namespace {

constexpr std::int64_t noon_ms = 1770033600000;

TEST_SUITE("ledger") {

TEST_CASE("a clock that runs gives its own time") {
  ClockOfDevice clock;
  CHECK(clock.next(noon_ms) == Stamp{noon_ms, 0});
  CHECK(clock.next(noon_ms + 5) == Stamp{noon_ms + 5, 0});
}

TEST_CASE("records of one millisecond, and of a clock set back, keep their order") {
  ClockOfDevice clock;
  Stamp last = clock.next(noon_ms);
  for (const std::int64_t wall_ms : {noon_ms, noon_ms, noon_ms - 86400000, std::int64_t{0},
                                     noon_ms - 1, noon_ms + 1, noon_ms}) {
    const Stamp next = clock.next(wall_ms);
    CHECK(next > last);
    last = next;
  }
}

TEST_CASE("what is written after seeing a record is later than it") {
  ClockOfDevice clock;
  clock.saw({noon_ms + 60000, 7}, noon_ms);
  CHECK(clock.next(noon_ms) > Stamp{noon_ms + 60000, 7});
}

TEST_CASE("a received stamp moves the clock ten minutes ahead of its own wall and no further") {
  ClockOfDevice at_limit, beyond;
  const std::int64_t limit_ms = noon_ms + ClockOfDevice::ahead_ms_max;
  at_limit.saw({limit_ms, 0}, noon_ms);
  CHECK(at_limit.last() == Stamp{limit_ms, 0});
  beyond.saw({limit_ms + 1, 9}, noon_ms);
  CHECK(beyond.last() == Stamp{limit_ms, 0});
  beyond.saw({4102444800000, 0}, noon_ms + 1000);  // 2100
  CHECK(beyond.last() == Stamp{limit_ms + 1000, 0});
}

TEST_CASE("an older stamp moves nothing") {
  ClockOfDevice clock;
  clock.next(noon_ms);
  clock.saw({noon_ms - 1, 4}, noon_ms);
  CHECK(clock.last() == Stamp{noon_ms, 0});
}

TEST_CASE("what the device itself wrote is believed whole after a restart") {
  ClockOfDevice clock;
  clock.wrote({noon_ms + 86400000, 3});
  CHECK(clock.next(noon_ms) == Stamp{noon_ms + 86400000, 4});
}

TEST_CASE("a full tick goes on with the next millisecond") {
  ClockOfDevice clock;
  clock.wrote({noon_ms, 0xffffffff});
  CHECK(clock.next(noon_ms) == Stamp{noon_ms + 1, 0});
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::ledger
