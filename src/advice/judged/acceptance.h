// SPDX-License-Identifier: Apache-2.0
//
// Is the block done as wanted? Mean with interval from both kinds of counts, share of trees out
// of band, acceptance by equivalence, what the rest must carry, and which trees to go back to.
//
// Mean: double sampling with difference estimator on the log scale through counting_bias.h
// (Cochran 1977, ch. 12), per pruner, weighted by the trees each pruned. Acceptance: two
// one-sided tests (D. J. Schuirmann, J. Pharmacokin. Biopharm. 15, 1987) against the band at 5 %.
//
//   Acceptance done = accept_block(season, "b1", now_ms);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "advice/reason.h"
#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

enum class AcceptanceKind { no_target, too_few_counts, accepted, over, under, not_yet_sure };

// To a tree already left behind (common practice, no source).
inline constexpr double minutes_to_walk_back = 4;

struct Revisit {  // a tree, or the stretch of trees around it, worth going back to
  std::string block;
  orchard::TreeAddress tree;
  std::string person;
  double over = 0;      // spurs over target; only what can be taken off
  double value = 0;     // money saved less the walk where the farm's rates are known, else spurs
};

struct Acceptance {
  AcceptanceKind kind = AcceptanceKind::no_target;
  double target = 0, band_low = 0, band_high = 0;
  orchard::Estimate mean;               // true spurs per tree, 90 % (so: TOST at 5 %)
  double tost_p = 1;                    // larger of the two one-sided p values
  orchard::Estimate share_out_of_band;  // of trees, 0 … 1
  double share_over = 0, share_under = 0;
  int counts = 0, checks = 0;
  std::int64_t trees = 0, trees_done = 0;
  // What each tree still to prune must carry for the whole block to come out on target;
  // value -1 where all are done.
  orchard::Estimate rest_per_tree;
  bool rest_possible = true;            // false: below zero, or above what unpruned trees carry
  std::vector<Revisit> revisit;         // best first
  Reason reason;  // accept_yes, accept_over, accept_under, accept_unsure, accept_few, no_target
};

Acceptance accept_block(const ledger::Season& season, const std::string& block,
                        std::int64_t now_ms);

}  // namespace nthtree::advice
