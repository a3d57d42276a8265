// SPDX-License-Identifier: Apache-2.0
//
// How many trees to count in a block, at what stride and from which tree on, for a wanted
// precision; and warnings of strides that meet the same place of every row.
//
// Precision: t interval of a systematic sample with random start, finite population correction
// (Cochran 1977, ch. 2 and 8); the variance met afterwards by successive differences (K. M.
// Wolter, Introduction to Variance Estimation, 2nd ed. 2007, ch. 8). Not here: when to stop a
// sample that is under way (known/tag_spread.h has the books' stop lines).
//
//   SamplingPlan plan = plan_sampling(block, {.relative_half_width = 0.1, .cv = 0.25}, seed);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "advice/known/planting.h"
#include "ledger/season.h"
#include "orchard/block.h"

namespace nthtree::advice {

enum class PlanProblem {
  stride_divides_row,      // the same places in every row
  stride_multiple_of_row,  // always the same place, in every k-th row
  stride_shares_factor,    // shares a factor with the row length: few places met
  stride_near_row,         // creeps along: half a row and more of neighbours is never met
  too_few_trees,           // fewer than 6 trees of the block would be counted
};

struct PlanWarning {
  PlanProblem problem = PlanProblem::too_few_trees;
  int stride = 0, row_length = 0;
  int places_met = 0;      // different places in the row that are ever counted
  int unseen = 0;          // neighbouring places that none of its trees stands at
  std::int64_t trees = 0;  // of the block that it counts
  int better_stride = 1;   // the nearest one that meets every place, without a warning
};

struct PlanWish {
  double relative_half_width = 0.10;  // of the block's mean
  double confidence = 0.90;
  double cv = 0.25;                   // expected, tree to tree
  double seconds_per_count = 120;
};

struct SamplingPlan {
  int trees = 0;                 // to count
  int stride = 0, start = 1;     // random start, 1 … stride
  double relative_half_width = 0;  // expected with that stride
  double minutes = 0;            // counting time in all
  int rows_met = 0;              // rows with at least one of them
  std::vector<orchard::TreeAddress> tagged;  // in walking order
  int instead = 0;               // of them, counted in place of an address without a bearing tree
  std::vector<PlanWarning> warnings;
};

// What is to be said against a stride: few places of a row met (fewer than two thirds of those that
// its trees could stand at, stats::visits_few_places), or creeping along in stripes that leave more
// than half a row unseen, or too few trees. Rows of a length count where a quarter of the block's
// rows have it.
std::vector<PlanWarning> check_stride(const orchard::Block& block, int stride);
SamplingPlan plan_sampling(const orchard::Block& block, const PlanWish& wish, std::uint64_t seed);
// The same of the bearing trees alone: where none stands at an address, the one that
// Planting::count_instead names is counted, no tree twice.
SamplingPlan plan_sampling(const Planting& planting, const PlanWish& wish, std::uint64_t seed);

// A seed from a block's id: the lot is drawn once a block, the same on every phone.
std::uint64_t seed_of(const std::string& block);

// Trees that a given stride and start meet, in walking order.
std::vector<orchard::TreeAddress> tagged_trees(const orchard::Block& block, int stride, int start);

}  // namespace nthtree::advice
