// SPDX-License-Identifier: Apache-2.0
//
// Which limbs a draft counts. Private to this folder; used where intents are applied.
//
// The draw is the tree's own: asked for again, with other limbs typed, it starts at the same part
// of its step, so that nobody asks their way to a handier limb. A re-count takes the limbs that the
// pruner counted: then what the others carry is in both and cancels. So do clusters, where the tree
// was counted by some limbs in winter.
//
//   draw_limbs(draft, season, now_ms);   // from the limbs typed
#pragma once

#include <cstdint>

#include "ledger/season.h"
#include "screens/drafts.h"

namespace nthtree::screens {

// Draws from the number typed, or takes the winter's limbs, and begins the first; nothing where
// neither can be.
void draw_limbs(CountDraft& draft, const ledger::Season& season, std::int64_t now_ms);
// Back to the question how many limbs there are.
void number_again(CountDraft& draft);
// Of the latest count of some limbs of that tree; no limbs where there is none.
orchard::LimbDraw drawn_before(const ledger::Season& season, const CountDraft& draft);
// The same for a count of clusters alone; no limbs for any other count.
orchard::LimbDraw winters_draw(const ledger::Season& season, const CountDraft& draft);

}  // namespace nthtree::screens
