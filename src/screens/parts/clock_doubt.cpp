// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/clock_doubt.h"

#include <algorithm>

#include "base/clock.h"
#include "ledger/kinds.h"
#include "ledger/written_ahead.h"

namespace nthtree::screens {
namespace {

// From return bloom to the next winter's first cut it is eight or nine months; a clock a year off
// is twelve away from the last record.
constexpr std::int64_t silent_ms = 300 * base::day_ms;
constexpr std::size_t others_wrong_most = 2;  // of more phones, it is this one that is behind

// 0 where nothing is counted yet.
std::int64_t newest_ms(const ledger::Season& season) {
  std::int64_t newest = 0;
  for (const auto& held : season.blocks()) {
    ledger::each_list(held.second, [&](const auto& entries) {
      if (!entries.empty()) newest = std::max(newest, entries.back().at_ms());
    });
  }
  return newest;
}

}  // namespace

ClockDoubt clock_doubt(const Session& session, const ledger::Season& season) {
  if (session.demo || session.sync.last_reached_ms.ms != 0) return ClockDoubt::none;
  const std::int64_t now_ms = session.now_ms;
  if (now_ms < session.made_ms) return ClockDoubt::behind;
  const std::int64_t newest = newest_ms(season);
  if (newest > now_ms + ledger::clock_slack_ms) {
    return ledger::written_ahead(season, now_ms).size() > others_wrong_most ? ClockDoubt::behind
                                                                            : ClockDoubt::is_it_so;
  }
  const std::int64_t known = newest != 0 ? newest : session.made_ms;
  const bool silent = known != 0 && now_ms - known > silent_ms;
  return silent ? ClockDoubt::is_it_so : ClockDoubt::none;
}

}  // namespace nthtree::screens
