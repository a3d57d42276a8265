// SPDX-License-Identifier: Apache-2.0
//
// The days before the first cut: settings, buds cut open, unpruned trees counted. Works out the
// target that the crew is told from the buds, as the app would.
#pragma once

#include "base/random.h"
#include "diary.h"
#include "farm_plan.h"

namespace nthtree::scenario {

// Milliseconds of a local time on a day before (negative) or after the first day of pruning.
std::int64_t moment(const Options& options, const FarmPlan& farm, int day, double hour);

// The manager's settings: farm, blocks, people; and of blocks alone, when a next season begins.
void set_up_farm(const Options& options, const FarmPlan& farm, Diary& diary);
void set_up_blocks(const Options& options, const FarmPlan& farm, Diary& diary);

// Buds cut open and unpruned trees counted. An error where a block's numbers give no target.
base::Status prepare_blocks(const Options& options, FarmPlan& farm, base::Random& random, Diary& diary);

}  // namespace nthtree::scenario
