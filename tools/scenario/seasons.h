// SPDX-License-Identifier: Apache-2.0
//
// Three seasons of the invented farm, one after the other: an on-year, the off-year that follows,
// and a year of a frost night. Each begins from the last: the manager takes part of what the
// followed trees taught into next winter's insurance factors.
//
//   const auto truths = live_seasons(options, farm, random, diary);
#pragma once

#include <string>
#include <vector>

#include "base/random.h"
#include "diary.h"
#include "farm_plan.h"

namespace nthtree::scenario {

inline constexpr int seasons_max = 3;

// The first options.seasons of the three; the last of them is pruned from options.monday_ms on.
// Returns each season's truth as JSON. An error where a block's numbers give no target.
base::Result<std::vector<std::string>> live_seasons(const Options& options, const FarmPlan& farm,
                                                    base::Random& random, Diary& diary);

}  // namespace nthtree::scenario
