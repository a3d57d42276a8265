// SPDX-License-Identifier: Apache-2.0
#include "advice/next/brief.h"

#include <algorithm>
#include <cmath>

#include "advice/known/block_target.h"
#include "advice/internal/current.h"
#include "advice/next/sampling_plan.h"
#include "advice/settings.h"
#include "advice/internal/unpruned.h"

namespace nthtree::advice {
namespace {

// More than three big cuts a tree in one winter answer with wood, not fruit (common practice, no
// source).
constexpr double limbs_most = 3;
// Big limbs come off only for the bulk of the surplus: half of it at most is left to single spurs.
constexpr double loose_target_log_sd = 0.10;

void share_out(const orchard::Block& block, Brief& brief) {
  const double take = brief.spurs_to_take.value;
  const double limbs = std::max(1, block.limbs_per_tree);
  const double per_limb = brief.spurs_unpruned.value / limbs;
  if (per_limb > 0) {
    brief.limbs_to_take = std::min({limbs_most, std::floor(take / per_limb), limbs - 1});
  }
  brief.limbs_to_take = at_least_zero(brief.limbs_to_take);
  brief.spurs_left_to_take = at_least_zero(take - brief.limbs_to_take * per_limb);
  brief.spurs_per_limb_to_leave =
      brief.spurs_to_leave.value / std::max(1.0, limbs - brief.limbs_to_take);
}

void add_notes(const orchard::Block& block, double target_log_sd, Brief& brief) {
  if (brief.spurs_unpruned.value <= 0) brief.notes.push_back({"brief_no_before_counts", {}});
  if (target_log_sd > loose_target_log_sd) {
    brief.notes.push_back({"brief_target_loose", {{"low", brief.spurs_to_leave.low},
                                                  {"high", brief.spurs_to_leave.high}}});
  }
  for (const PlanWarning& warning : check_stride(block, block.stride)) {
    if (warning.problem == PlanProblem::too_few_trees) continue;
    const double stride = warning.stride, better = warning.better_stride;
    const double row = warning.row_length, places = warning.places_met, unseen = warning.unseen;
    if (warning.problem == PlanProblem::stride_near_row) {
      brief.notes.push_back({"brief_stride_near", {{"stride", stride}, {"unseen", unseen},
                                                   {"row", row}, {"better", better}}});
    } else {
      brief.notes.push_back({"brief_stride", {{"stride", stride}, {"places", places},
                                              {"row", row}, {"better", better}}});
    }
    break;
  }
}

}  // namespace

Brief crew_brief(const ledger::Season& season, const std::string& block, std::int64_t now_ms) {
  Brief brief;
  for (const char* id : {"caution_ladder", "caution_tools", "caution_cold", "caution_alone",
                         "caution_sprays", "caution_local_rules"}) {
    brief.cautions.push_back({id, {}});
  }
  const ledger::BlockSeason* found = season.block(block);
  if (!found || !found->block) return brief;
  brief.stride = found->block->stride;
  brief.stride_start = found->block->stride_start;
  const auto target = block_target(*found);
  if (!target) return brief;
  brief.known = true;
  brief.spurs_to_leave = target->target.spurs_to_leave_per_tree;
  const double t = settings_for(season, *found).tolerance_fraction;
  brief.band_low = brief.spurs_to_leave.value * (1 - t);
  brief.band_high = brief.spurs_to_leave.value * (1 + t);
  (void)now_ms;  // before-counts and buds hold whenever they were made
  const Unpruned unpruned = unpruned_trees(*found, always);
  brief.spurs_unpruned = unpruned.spurs;
  if (unpruned.trees > 0) {
    brief.spurs_to_take = {at_least_zero(unpruned.spurs.value - brief.spurs_to_leave.value),
                           at_least_zero(unpruned.spurs.low - brief.spurs_to_leave.high),
                           at_least_zero(unpruned.spurs.high - brief.spurs_to_leave.low)};
    share_out(*found->block, brief);
  } else {
    brief.spurs_per_limb_to_leave =
        brief.spurs_to_leave.value / std::max(1, found->block->limbs_per_tree);
  }
  add_notes(*found->block, target->log_sd, brief);
  return brief;
}

}  // namespace nthtree::advice
