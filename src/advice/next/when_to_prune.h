// SPDX-License-Identifier: Apache-2.0
//
// When a block is better pruned, and why: done before green tip, lightly now and settled between
// green tip and full bloom, or hardly at all this year.
//
// In this order: a block that carries no more spurs than are to be left, or few floral buds, has
// little to cut; a strongly biennial variety in a year that nobody has looked into waits until its
// clusters show; weak trees, and those with many more spurs than wanted, are done before green tip,
// since what is cut later has already drawn on the tree's reserves (common practice, no source; how
// much that costs is not known, so no number is told). Local advice comes first.
//
//   WhenToPrune when = when_to_prune(season, "b1", variety, now_ms);
//   show(when.what, when.reasons);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "advice/reason.h"
#include "ledger/season.h"
#include "orchard/varieties.h"

namespace nthtree::advice {

enum class PruneWhen { before_green_tip, lightly_then_settle, hardly, either };

inline constexpr double few_floral_fraction = 0.3;  // an off-year: common practice, no source
inline constexpr double heavily_spurred = 2;        // times the spurs to leave, the same
inline constexpr int sized_trees_least = 5;         // of whom half are weak, the same

struct WhenToPrune {
  PruneWhen what = PruneWhen::either;
  std::vector<Reason> reasons;  // when_… ids, the deciding one first
};

// `variety` as the farm has it (orchard::with_change). A block that is not known gives either, for
// no reason.
WhenToPrune when_to_prune(const ledger::Season& season, const std::string& block,
                          const orchard::Variety& variety, std::int64_t now_ms);

// "before_green_tip", …: the last part of a language key.
const char* name_of(PruneWhen what);

}  // namespace nthtree::advice
