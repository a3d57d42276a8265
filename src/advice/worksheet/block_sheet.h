// SPDX-License-Identifier: Apache-2.0
//
// What a block's mean and acceptance (judged/acceptance.h) were made of: each pruner's part, and
// what does not average out. For whoever checks it with a pencil.
//
//   BlockSheet sheet = block_sheet(season, "b1", now_ms);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "advice/judged/acceptance.h"
#include "advice/judged/standing.h"
#include "advice/next/recount_worklist.h"
#include "ledger/season.h"

namespace nthtree::advice {

struct PrunerPart {
  std::string person;
  double trees = 0;       // pruned: from the spells of work, else counts × stride
  bool noted = false;     // the first of the two
  double level = 0;       // spurs left ÷ target, own counts
  double variance = 0;    // of its ln, counting inside, target not
};

struct BlockSheet {
  Acceptance acceptance;
  double tolerance_fraction = 0.15;
  double log_mean = 0, log_sd = 1;  // of mean ÷ target, target inside
  double df = 1;                    // as the tests take it
  double mean_log_sd = 0;           // of the mean alone: target not inside
  double shared_bias_sd = 0;        // what the crew misses, shared by all
  double tree_log_sd = 0;           // single trees about the mean
  std::vector<PrunerPart> pruners;
  std::vector<Recount> recounts;    // most worth a re-count, best first
};

// At most `recounts_most` of the re-counts.
BlockSheet block_sheet(const ledger::Season& season, const std::string& block,
                       std::int64_t now_ms, int recounts_most);

}  // namespace nthtree::advice
