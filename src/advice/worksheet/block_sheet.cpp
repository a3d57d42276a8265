// SPDX-License-Identifier: Apache-2.0
#include "advice/worksheet/block_sheet.h"

#include <algorithm>
#include <cmath>

#include "advice/internal/context.h"
#include "advice/internal/current.h"
#include "advice/internal/day_parts.h"

namespace nthtree::advice {

BlockSheet block_sheet(const ledger::Season& season, const std::string& block,
                       std::int64_t now_ms, int recounts_most) {
  BlockSheet sheet;
  const ledger::BlockSeason* found = season.block(block);
  if (!found || !found->block) return sheet;
  const BlockContext context = make_context(season, *found, now_ms, cut_for(season, now_ms));
  const StandingInput input = context.input();
  const Standing& all = context.standings().block_standing;
  sheet.acceptance = accept_in(context);
  sheet.tolerance_fraction = context.settings.tolerance_fraction;
  sheet.log_mean = all.own.mean;
  sheet.log_sd = all.own.sd;
  sheet.df = std::max(1.0, all.tree_df);
  sheet.mean_log_sd =
      std::sqrt(at_least_zero(squared(all.own.sd) - squared(all.target_log_sd)));
  sheet.shared_bias_sd = context.bias->crew_log_mean_sd;
  sheet.tree_log_sd = all.tree_log_sd;
  for (const Standing& pruner : context.standings().pruners) {
    PrunerPart part;
    part.person = pruner.person;
    part.trees = trees_pruned_of(input, pruner);
    const auto noted = input.trees_pruned.find(pruner.person);
    part.noted = noted != input.trees_pruned.end() && noted->second > 0;
    part.level = std::exp(pruner.own.mean);
    // The whole of what is not known of the counting, both ways to count inside.
    part.variance = pruner.level_variance + squared(context.bias->of(pruner.person).log_sd *
                                                    pruner.unchecked_share);
    sheet.pruners.push_back(part);
  }
  sheet.recounts = recounts_in(context, recounts_most);
  return sheet;
}

}  // namespace nthtree::advice
