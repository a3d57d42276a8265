// SPDX-License-Identifier: Apache-2.0
//
// What the buds cut open in winter promised, against the clusters that came out.
//
// Both are shares known by trees, with intervals of 90 %; they are told apart where their
// difference is more than twice its standard error (z test of two independent estimates, at about
// 5 %). The winter's share is of all buds, the clusters are counted on pruned trees: a crew that
// takes weak spurs first leaves a larger share, which this cannot tell from a winter that was
// judged too low.
//
//   WinterJudged judged = winter_judged(block);
//   if (judged.what == WinterWas::too_high) …
#pragma once

#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

enum class WinterWas { not_known, right, too_high, too_low };

struct WinterJudged {
  WinterWas what = WinterWas::not_known;  // unless buds were cut and clusters counted this season
  orchard::Estimate promised, seen;       // floral share, 90 %
  double z = 0;                           // of their difference; positive: more was promised
};

WinterJudged winter_judged(const ledger::BlockSeason& block);

}  // namespace nthtree::advice
