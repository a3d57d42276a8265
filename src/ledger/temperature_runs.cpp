// SPDX-License-Identifier: Apache-2.0
#include "ledger/temperature_runs.h"

#include <cmath>

#include "base/clock.h"
#include "base/text.h"
#include "ledger/body_fields.h"

namespace nthtree::ledger {

std::vector<Temperatures> temperature_runs(
    const std::string& station, const std::map<std::int64_t, orchard::DayTemperatures>& days) {
  std::vector<Temperatures> runs;
  std::int64_t next = 0;
  for (const auto& [day, read] : days) {
    const bool is_full = !runs.empty() && runs.back().low_tenths_c.size() == temperature_days_max;
    if (runs.empty() || day != next || is_full) {
      runs.push_back({station, base::iso_minute(day * base::day_ms).substr(0, 10), {}, {}});
    }
    runs.back().low_tenths_c.push_back(static_cast<int>(std::lround(10 * read.low)));
    runs.back().high_tenths_c.push_back(static_cast<int>(std::lround(10 * read.high)));
    next = day + 1;
  }
  return runs;
}

}  // namespace nthtree::ledger
