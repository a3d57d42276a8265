// SPDX-License-Identifier: Apache-2.0
//
// Where one season's pruning ends and the next begins, in a ledger that holds several. Between two
// seasons nobody on the whole farm counts for four months; inside one, evidence fades and never
// drops out by age.
// Not here: fading (advice/internal/evidence.h). Units: milliseconds since 1970-01-01 UTC.
//
//   const std::int64_t since_ms = season_begins(season, now_ms);
#pragma once

#include <cstddef>
#include <cstdint>

#include "ledger/season.h"

namespace nthtree::ledger {

// The first count by a pruner, whole or of some limbs, of the season that the last one not later
// than cut_ms belongs to. The least number where there is no count.
std::int64_t season_begins(const Season& season, std::int64_t cut_ms);

// Such counts from before `since_ms`, withdrawn ones left out.
std::size_t counts_before(const Season& season, std::int64_t since_ms);

}  // namespace nthtree::ledger
