// SPDX-License-Identifier: Apache-2.0
//
// Days of a station as records: one for each run of days without a gap, none longer than a record
// may be.
//
//   for (Temperatures& run : temperature_runs("Yard", days)) bodies.push_back(std::move(run));
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "ledger/bodies.h"
#include "orchard/degree_days.h"

namespace nthtree::ledger {

// days: since 1970-01-01, in °C; rounded to a tenth.
std::vector<Temperatures> temperature_runs(
    const std::string& station, const std::map<std::int64_t, orchard::DayTemperatures>& days);

}  // namespace nthtree::ledger
