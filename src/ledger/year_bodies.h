// SPDX-License-Identifier: Apache-2.0
//
// What records say of the year as a whole rather than of a block: a station's days, and the end
// of a season. Part of bodies.h, which everybody includes.
#pragma once

#include <string>
#include <vector>

namespace nthtree::ledger {

// Lowest and highest temperatures of days one after the other, as a station gave them. Of two
// records that hold the same day the later counts; a missing day begins a record of its own.
struct Temperatures {
  std::string station;    // as the farm calls it; one name is one place
  std::string first_day;  // "2026-01-01"
  std::vector<int> low_tenths_c, high_tenths_c;  // °C × 10, one a day
  std::string key() const {
    return station + "/" + first_day + "/" + std::to_string(low_tenths_c.size());
  }
  friend bool operator==(const Temperatures&, const Temperatures&) = default;
};

// The year's work is over: what was written before belongs to it, and stands out of the way. Of two
// records of one year the first counts, or what the next year has begun with would go too.
struct SeasonClosed {
  int year = 0;  // of the harvest
  std::string key() const { return std::to_string(year); }
  friend bool operator==(const SeasonClosed&, const SeasonClosed&) = default;
};

}  // namespace nthtree::ledger
