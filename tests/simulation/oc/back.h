// SPDX-License-Identifier: Apache-2.0
//
// What going back is worth: a block played by seed, every tree of it known, pruned by people of whom
// some leave too many, some too few, and some drift on the way. Then somebody goes back for a number
// of hours: by the app's list, along random rows, along the block from its first row on, or to the
// trees alone that were counted too high.
//
//   BackRun run = play_back({.logged = false}, 7);
//   run.of(Going::by_list).mended_per_hour()
#pragma once

#include <array>
#include <cstdint>

namespace nthtree::oc {

struct BackPlan {
  int pruners = 8, rows = 48, trees_a_row = 60;
  int counts_a_row = 3;
  int rows_a_count = 1;            // of each person's own rows, every such one is counted in
  double target = 190, tolerance = 0.15, cv = 0.25;
  double between_log_sd = 0.12;    // pruners, on the log scale
  int drifters = 2;                // of them, from some row on
  double drift_log = 0.35;
  double missed_log = 0.06, slip_log_sd = 0.06;
  bool logged = true;              // rows' ends were noted; else they are inferred
  double wage = 18;                // an hour, and what it thins by hand
  double fruitlets_an_hour = 1000;
  double minutes_a_tree = 4;       // to prune one
  double walk_minutes = 0.5, walk_to_one_minutes = 4;
};

enum class Going { by_list, random_rows, whole_block, counted_trees };
inline constexpr int goings = 4;

struct Trip {
  double hours = 0, visited = 0;
  double mended = 0;   // trees over the band, taken back to the target
  double money = 0;    // what is saved later less what going costs now
  double mended_per_hour() const { return hours > 0 ? mended / hours : 0; }
};

struct BackRun {
  double out_over = 0;        // trees truly over the band
  double stretches = 0;       // the list sends somebody to
  double false_trips = 0;     // of them, those whose trees truly lie inside the band on average
  std::array<Trip, goings> trips;
  const Trip& of(Going going) const { return trips[static_cast<std::size_t>(going)]; }
};

BackRun play_back(const BackPlan& plan, std::uint64_t seed);

}  // namespace nthtree::oc
