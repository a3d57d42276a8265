// SPDX-License-Identifier: Apache-2.0
//
// A phone whose date is wrong and that no hub has told so: it is said on the first screen, and on
// every later one, before anything is counted into the wrong day.
#include <doctest/doctest.h>

#include "screens/parts/clock_doubt.h"
#include "unit/app/phone.h"

using namespace nthtree;
using namespace nthtree::app;
using screens::clock_doubt;
using screens::ClockDoubt;

namespace {

constexpr std::int64_t day_ms = 24LL * 3600 * 1000;

bool shows(Phone& phone, std::string_view text) {
  for (const widgets::Control& control : phone.app.ui().controls()) {
    if (control.label.find(text) != std::string::npos) return true;
  }
  return false;
}

// A farm whose phones, so many of them, counted a tree each at that moment.
ledger::Season counted_by(int phones, std::int64_t at_ms) {
  ledger::Season season;
  for (int i = 0; i < phones; ++i) {
    ledger::Record record;
    record.id = {{7, static_cast<std::uint64_t>(i) + 1}, 1};
    record.stamp = {at_ms, 0};
    record.clock_ms = at_ms;
    record.author = "p1";
    record.body = ledger::TagCount{"b1", {1, i + 1}, 200, {}, {}, 0};
    const auto written = ledger::write_record(record);
    REQUIRE(written.ok());
    season.apply(*written);
  }
  return season;
}

screens::Session at(std::int64_t now_ms, std::int64_t made_ms) {
  screens::Session session;
  session.now_ms = now_ms;
  session.made_ms = made_ms;
  return session;
}

}  // namespace

TEST_SUITE("app: clock") {
  TEST_CASE("a clock a year behind was said nowhere where no hub was ever reached") {
    PlatformNative platform;
    platform.program_made_ms = platform.now_ms;
    platform.now_ms -= 365 * day_ms;
    Phone phone(platform);
    REQUIRE(phone.here() == ScreenId::welcome);
    CHECK(shows(phone, "This phone says that today is 2 Feb 2025, but that day is long past."));
    start_farm(phone);
    CHECK(shows(phone, "This phone says that today is 2 Feb 2025"));  // and it goes on being said
    CHECK(platform.records.size() == 2);                             // nothing is refused for it
    platform.advance(365 * day_ms);
    phone.look();
    CHECK_FALSE(shows(phone, "This phone says that today is"));
  }

  TEST_CASE("a clock a year ahead is asked about, on a new phone and after a season's silence") {
    PlatformNative platform;
    platform.program_made_ms = platform.now_ms - 20 * day_ms;
    Phone phone(platform);
    CHECK_FALSE(shows(phone, "This phone says"));
    platform.now_ms += 365 * day_ms;
    Phone later(platform);
    CHECK(shows(later, "This phone says that today is 2 Feb 2027. If that is wrong"));
  }

  TEST_CASE("what the farm's phones wrote says whose clock is behind") {
    const std::int64_t now = 1'770'000'000'000;
    CHECK(clock_doubt(at(now, 0), counted_by(3, now + 365 * day_ms)) == ClockDoubt::behind);
    CHECK(clock_doubt(at(now, 0), counted_by(2, now + 365 * day_ms)) == ClockDoubt::is_it_so);
    CHECK(clock_doubt(at(now, 0), counted_by(3, now + day_ms)) == ClockDoubt::none);
    CHECK(clock_doubt(at(now, now + day_ms), ledger::Season{}) == ClockDoubt::behind);
  }

  TEST_CASE("a season's end and the next one's beginning are no doubt") {
    const std::int64_t now = 1'770'000'000'000;
    const ledger::Season counted = counted_by(1, now - 270 * day_ms);
    CHECK(clock_doubt(at(now, now - 800 * day_ms), counted) == ClockDoubt::none);
    CHECK(clock_doubt(at(now, 0), ledger::Season{}) == ClockDoubt::none);
    CHECK(clock_doubt(at(now, now - 270 * day_ms), ledger::Season{}) == ClockDoubt::none);
    CHECK(clock_doubt(at(now + 95 * day_ms, 0), counted) == ClockDoubt::is_it_so);
  }

  TEST_CASE("where the hub has spoken, or in the demo, nothing is guessed") {
    const std::int64_t now = 1'770'000'000'000;
    const ledger::Season ahead = counted_by(3, now + 365 * day_ms);
    screens::Session session = at(now, now + day_ms);
    session.sync.last_reached_ms = now;
    CHECK(clock_doubt(session, ahead) == ClockDoubt::none);
    session = at(now, now + day_ms);
    session.demo = true;
    CHECK(clock_doubt(session, ahead) == ClockDoubt::none);
  }
}
