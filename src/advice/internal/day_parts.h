// SPDX-License-Identifier: Apache-2.0
//
// acceptance, pace, cost and the re-count list over a context already worked out. Internal to
// advice/: the day's review and the crew board share one context a block.
#pragma once

#include <vector>

#include "advice/judged/acceptance.h"
#include "advice/internal/context.h"
#include "advice/review/cost.h"
#include "advice/review/crew_board.h"
#include "advice/review/pace.h"
#include "advice/next/recount_worklist.h"

namespace nthtree::advice {

Pace pace_in(const BlockContext& context);
Cost cost_in(const BlockContext& context);
Acceptance accept_in(const BlockContext& context);
std::vector<Recount> recounts_in(const BlockContext& context, int most);
std::vector<CrewRow> crew_in(const BlockContext& context);

}  // namespace nthtree::advice
