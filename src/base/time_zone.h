// SPDX-License-Identifier: Apache-2.0
//
// What the clock on the wall of a place says at a moment: a fixed distance from UTC, or one that a
// rule changes twice a year.
//
// The rule is written as POSIX has it for TZ (IEEE Std 1003.1-2017, 8.3), in the form with months,
// which serves every year alike: "<-08>8<-07>,M3.2.0,M11.1.0" is eight hours behind UTC, seven from
// the second Sunday of March, 2:00, to the first of November, 2:00. Not a history: laws of earlier
// years and zones that follow the moon are not in it. Hours count west of Greenwich, as there.
//
//   TimeZone zone = TimeZone::parse("<-08>8<-07>,M3.2.0,M11.1.0").value();
//   zone.offset_minutes(at_ms)      // -480 or -420
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

#include "base/result.h"

namespace nthtree::base {

class TimeZone {
 public:
  static TimeZone fixed(int offset_minutes);
  // Error "not_a_time_zone" where it is not such a rule.
  static Result<TimeZone> parse(std::string_view rule);

  // Minutes ahead of UTC at that moment (Unix time in ms).
  int offset_minutes(std::int64_t at_ms) const;
  // The moment when the wall's clock says this, written as if it were UTC. Of an hour that comes
  // twice, the first; one that is left out lies as far behind the change.
  std::int64_t moment_of(std::int64_t wall_ms) const;

 private:
  struct Change {  // on the n-th such day of the week of a month; week 5 is the last
    int month = 0, week = 0, weekday = 0;  // weekday 0 is Sunday
    int minute = 120;                      // of the day, by the clock before the change
  };
  static std::optional<Change> read_change(std::string_view& rule);
  std::int64_t wall_ms_of(const Change& change, std::int64_t year) const;

  int standard_minutes_ = 0, summer_minutes_ = 0;
  std::optional<Change> begins_, ends_;  // of summer time
};

}  // namespace nthtree::base
