// SPDX-License-Identifier: Apache-2.0
//
// What is not a whole count, gathered beside the tags: limbs of trees, their re-counts, scores, and
// the size of each tree. Internal to advice/; part of `gather`.
#pragma once

#include <cstdint>

#include "advice/internal/evidence.h"
#include "advice/known/sizes.h"

namespace nthtree::advice {

// Adds part counts in their place among the tags, their re-counts and the limbs' spread.
void gather_part_counts(const ledger::Season& season, const ledger::BlockSeason& block,
                        std::int64_t since_ms, std::int64_t now_ms, BlockEvidence& evidence);
// Scores, paired with counts of the same tree. One that its author gave after counting that tree is
// left out: it would only repeat the count.
void gather_scores(const ledger::Season& season, const ledger::BlockSeason& block,
                   std::int64_t since_ms, std::int64_t now_ms, BlockEvidence& evidence);
// Where size pays, every tree's count and score as a share of its own number.
void scale_by_size(const SizeClasses& sizes, BlockEvidence& evidence);

}  // namespace nthtree::advice
