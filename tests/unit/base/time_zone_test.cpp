// SPDX-License-Identifier: Apache-2.0
#include "base/time_zone.h"

#include <doctest/doctest.h>

#include <cstdlib>
#include <ctime>

#include "base/text.h"

using nthtree::base::TimeZone;

namespace {

std::int64_t utc(const char* text) {
  std::int64_t at_ms = 0;
  CHECK(nthtree::base::parse_iso(text, at_ms));
  return at_ms;
}

int offset(const char* rule, const char* at) {
  const auto zone = TimeZone::parse(rule);
  REQUIRE(zone);
  return zone->offset_minutes(utc(at));
}

}  // namespace

TEST_SUITE("base: time zone") {
  // The rules of the IANA time zone database 2025b (the last line of each zone's file), the moments
  // by the laws it cites: US Energy Policy Act of 2005, section 110; EU Directive 2000/84/EC.
  TEST_CASE("summer time begins and ends by the rule") {
    const char* pacific = "PST8PDT,M3.2.0,M11.1.0";
    CHECK(offset(pacific, "2026-03-08T09:59") == -480);
    CHECK(offset(pacific, "2026-03-08T10:00") == -420);
    CHECK(offset(pacific, "2026-11-01T08:59") == -420);
    CHECK(offset(pacific, "2026-11-01T09:00") == -480);
    const char* paris = "CET-1CEST,M3.5.0,M10.5.0/3";
    CHECK(offset(paris, "2026-03-29T00:59") == 60);
    CHECK(offset(paris, "2026-03-29T01:00") == 120);
    CHECK(offset(paris, "2026-10-25T00:59") == 120);
    CHECK(offset(paris, "2026-10-25T01:00") == 60);
    const char* santiago = "<-04>4<-03>,M9.1.6/24,M4.1.6/24";
    CHECK(offset(santiago, "2026-01-15") == -180);
    CHECK(offset(santiago, "2026-07-15") == -240);
    CHECK(offset("<+1030>-10:30<+11>-11,M10.1.0,M4.1.0", "2026-01-15") == 660);
    CHECK(offset("IST-5:30", "2026-07-15") == 330);
    CHECK(offset("UTC0", "2026-07-15") == 0);
  }

  TEST_CASE("what is no rule is refused") {
    for (const char* rule : {"", "8", "PST", "PS8", "PST8PDT", "PST8PDT,M3.2.0", "PST25", "<-08 8",
                             "PST8PDT,M13.2.0,M11.1.0", "PST8PDT,M3.6.0,M11.1.0",
                             "PST8PDT,M3.2.7,M11.1.0", "PST8PDT,J60,J300", "PST8PDT,M3.2.0,M11.1.0x"}) {
      CAPTURE(rule);
      CHECK_FALSE(TimeZone::parse(rule));
    }
  }

  TEST_CASE("the time on the wall is the moment it was, also in the hours that come twice or never") {
    const TimeZone zone = TimeZone::parse("PST8PDT,M3.2.0,M11.1.0").value();
    CHECK(zone.moment_of(utc("2026-02-03T07:15")) == utc("2026-02-03T15:15"));
    CHECK(zone.moment_of(utc("2026-07-03T07:15")) == utc("2026-07-03T14:15"));
    CHECK(zone.moment_of(utc("2026-11-01T01:30")) == utc("2026-11-01T08:30"));
    CHECK(zone.moment_of(utc("2026-03-08T02:30")) == utc("2026-03-08T10:30"));
    CHECK(TimeZone::fixed(-480).moment_of(utc("2026-07-03T07:15")) == utc("2026-07-03T15:15"));
  }

#if defined(__GLIBC__)
  TEST_CASE("every third hour of thirty years is as the C library has it") {
    for (const char* rule : {"<-08>8<-07>,M3.2.0,M11.1.0", "CET-1CEST,M3.5.0,M10.5.0/3",
                             "<-04>4<-03>,M9.1.6/24,M4.1.6/24", "<+1030>-10:30<+11>-11,M10.1.0,M4.1.0",
                             "NZST-12NZDT,M9.5.0,M4.1.0/3", "<-02>2<-01>,M3.5.0/-1,M10.5.0/0",
                             "IST-5:30"}) {
      setenv("TZ", rule, 1);
      tzset();
      const TimeZone zone = TimeZone::parse(rule).value();
      int wrong = 0;
      for (std::time_t at = 1577836800; at < 1577836800 + 30LL * 365 * 86400; at += 3 * 3600) {
        std::tm wall{};
        localtime_r(&at, &wall);
        wrong += zone.offset_minutes(at * 1000LL) != wall.tm_gmtoff / 60;
      }
      CAPTURE(rule);
      CHECK(wrong == 0);
    }
    unsetenv("TZ");
    tzset();
  }
#endif
}
