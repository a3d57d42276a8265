// SPDX-License-Identifier: Apache-2.0
//
// The day as a page that needs no script and prints on A4 and Letter, for whoever has no phone: who
// counted what in which block, rows pruned, re-counts, what the lead told. It says what was counted
// and judges nothing: verdicts are the app's (advice).
//
//   page.own_body = day_page(season, {day, "es"});
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "ledger/season.h"

namespace nthtree::hub {

struct DayAsked {
  std::int64_t day = 0;           // days since 1970-01-01 at the farm
  std::string language = "en";    // en, es or fr; any other reads English
};

std::string day_page(const ledger::Season& season, const DayAsked& asked);
extern const char* const day_page_style;  // a file of its own: the page's policy allows no other

}  // namespace nthtree::hub
