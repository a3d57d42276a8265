// SPDX-License-Identifier: Apache-2.0
//
// A whole farm played by seed through records, as its phones would write them: blocks, rows that
// differ, days, pruners who differ and miss spurs in their own measure, a lead who re-counts. Looked
// at every hour, as a lead's screen is; the truth is known here and only the counts are handed on.
//
//   FarmRun run = play_farm({.recounts_a_day = 0}, 5);
//   run.total().false_drift
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "farm_drift.h"

namespace nthtree::oc {

struct FarmPlan {
  int pruners = 12, days = 15, days_a_block = 5;
  int counts_a_day = 6;         // of each pruner, in two rows
  int recounts_a_day = 4;       // of the lead, from the app's own list; 0: nobody is re-counted
  double target = 190;
  double cv = 0.25;             // tree to tree
  double crew_log_mean = 0.05, between_log_sd = 0.15;
  double row_log_sd = 0.08, day_log_sd = 0.04, block_log_sd = 0.06;
  double missed_log = 0.08, missed_log_sd = 0.06;  // ln(true ÷ tag), and between counters
  double off_share = 0.10, off_log_sd = 0.50;      // of counters, those unlike the rest
  double slip_log_sd = 0.06;    // of one count
  double step = 0;              // everybody leaves so much more, as a share, …
  int step_after = 0;           // … after so many counts in a block; 0: nobody changes
  bool advice_given = false;    // the lead tells what the app says, and it is mostly done
};

struct FarmDay {  // sums over pruners; a pruner counts once a day
  int day = 0;
  int counts = 0, recounts = 0;
  DriftTally drift, drift_as_it_was;  // level flags, ours and those of the chart before
  int flags_up = 0;             // standing at the day's end
  int near = 0, told_near = 0;  // pruners within half a tolerance; of them, told to change
  int told_wrong_way = 0;
  int far = 0, right = 0;       // beyond one and a half tolerances; of them, told rightly
  int silent = 0;               // of the far: asked to count on
  int recount_first = 0, more_buds = 0;  // of the far: asked for that instead
  int intervals = 0, covered = 0, missed_low = 0;  // 90 % of the mean left on a tree
  int promises = 0, promises_kept = 0;   // "about N more trees": an answer came within N

  void add(const FarmDay& other);
};

struct FarmRun {
  std::vector<FarmDay> days;
  FarmDay total() const;
};

FarmRun play_farm(const FarmPlan& plan, std::uint64_t seed);

// Many farms, seed after seed.
FarmDay play_farms(const FarmPlan& plan, int farms, std::uint64_t seed);

// By day, as text.
std::string farm_text(const FarmRun& run);

}  // namespace nthtree::oc
