// SPDX-License-Identifier: Apache-2.0
//
// The invented farm as it truly is: what the records will only hint at. No real farm or person.
//
// "Level" is a pruner's true mean against the target that was told, as a natural log: 0 leaves the
// target, +0.28 leaves a third too many, −0.28 a quarter too few.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "orchard/block.h"
#include "orchard/person.h"

namespace nthtree::scenario {

struct Options {
  std::uint64_t seed = 20260202;
  std::int64_t monday_ms = 0;  // local midnight of the first day of pruning, as UTC
  int days = 6;
  int pruners = 12;
  int stride = 7;
  double scale = 1;  // of the number of rows
  int limbs = 0;     // counted of each tree, by some limbs; 0: whole trees
  int looks = 0;     // trees that a pruner scores a day, by eye
  int walk = 0;      // trees of each pruner that the lead walks past a day
  bool drawn = false;  // the seed draws who is off, how far, and how well each one sees
  int seasons = 0;     // whole ones, up to seasons_max; 0: a week of pruning alone
  std::int64_t until_ms = 0;  // nothing was written from then on; 0: everything was
};

struct BlockPlan {
  orchard::Block block;
  double floral_fraction = 0.6;   // true
  double floral_sd_tree = 0.2;    // on the logit
  double floral_sd_branch = 0.15;
  int trees_cut = 5;              // two branches each; the usual ten, more where it was too loose
  double before_over_target = 2;  // unpruned spurs ÷ target
  double tree_k = 28;             // negative binomial: variance = mean + mean²/k
  double row_log_sd = 0.04;
  double size_step = 0;           // weak and strong trees, of the middling; 0: all alike
  int green_tip_after_days = 55;  // of the first day of pruning
  double told_target = 0;         // spurs to leave, filled in once buds are cut
  double unpruned_spurs = 0;      // on a tree; 0: before_over_target of what was told
  double true_insurance = 0;      // flowering spurs for a fruit, as the trees have it
};

struct PrunerPlan {
  orchard::Person person;
  std::string shows;              // what this pruner is in the demo for
  int gang = 0;                   // works where this gang works
  double level = 0;
  double level_after_advice = 0;  // from the advice on, where advised
  int advised_on_day = -1;        // 0 is the first day; -1: never
  double drift_per_day = 0;       // added to the level, from drift_day on
  double drift_most = 0.4;
  double drift_day = 0;           // 2.5: the middle of the third day
  double miss_share = 0.06;       // of the spurs, those not seen when counting
  double own_k = 0;               // tree to tree, where not the block's
  double rounds_to_fives = 0;     // share of counts written as a multiple of five
  bool by_limbs = false;
  double trees_per_hour = 26;
  double eye_scatter = 0.15;      // of a score's logarithm: a correlation of about 0.75
  int device = 0;
};

inline constexpr int manager_device = 0;

struct FarmPlan {
  std::string name;
  std::string folder;
  int utc_offset_minutes = -480;
  std::vector<BlockPlan> blocks;
  std::vector<PrunerPlan> pruners;
  std::vector<orchard::Person> leads;
  orchard::Person manager;
  int devices = 0;                // 0: the manager's; then one a pruner (two share), one a lead
  std::vector<int> lead_devices;
  double lead_miss_share = 0.01;
  double day_log_sd = 0.02;       // the same for a whole gang on one day
  // Which block a gang prunes on a day (0 is the first).
  int block_of(int gang, int day, int days) const;
};

FarmPlan plan_farm(const Options& options);

// The day on which the farm expects a block's green tip, as "2026-03-30".
std::string green_tip_date(const Options& options, const BlockPlan& plan);

// The plan as JSON, for tests that ask whether the verdicts found what was put in.
std::string truth_json(const FarmPlan& plan, const Options& options);

}  // namespace nthtree::scenario
