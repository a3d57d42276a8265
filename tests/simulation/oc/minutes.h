// SPDX-License-Identifier: Apache-2.0
//
// A crew of twelve over five days at so many minutes a pruner and day: whole trees, some limbs of
// more trees, scores before the count, size classes, the lead's walk. What is told, when, and how
// often rightly, judged by the app's own model from counts and scores alone.
//
//   for (const LevelRates& level : simulate_minutes({.design = Design::limbs}, 200, 7)) …
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "stats/allocation.h"

namespace nthtree::oc {

enum class Design { whole_trees, limbs, limbs_scores, limbs_classes, limbs_walk, scores_walk };
std::string name_of(Design design);

inline constexpr int crew_size = 12, minute_days = 5;

struct MinutesPlan {
  Design design = Design::whole_trees;
  double limb_cv = 0.45;
  double eye = 0;                // correlation of an eye with the tree; 0: nobody scores
  double cv = 0.25;              // tree to tree
  double seconds = 610;          // a pruner and day: two whole trees
  double lead_seconds = 1800;    // of the lead's walk, a day
  double size_share = 0.5;       // of the spread, what size classes would explain
  double class_right = 0.85;     // of taps
  bool eyes_known = true;        // twenty pairs of each eye from the days before
};

// As the app would share out the minutes with everything known; the seconds of each thing.
inline constexpr double seconds_whole = 305, seconds_tree = 50, seconds_limb = 15, seconds_look = 5;
stats::Share share_of(const MinutesPlan& plan);

struct LevelRates {
  double ratio = 1;                            // true mean ÷ target
  double seen = 0;                             // pruner-weeks
  std::array<double, minute_days> right{};     // first verdict by the end of that day, and right
  double wrong_way = 0;                        // harder told of too few, lighter of too many
  double told_change = 0;                      // told to change at all
  std::array<double, minute_days> against{};   // told by the end of that day how they stand against
                                               // the others, and rightly
  double against_wrong = 0;                    // told so of less than half a tolerance, or wrongly
  double minutes_per_right = 0;  // until the first verdict, the lead's walk by head inside
};

// One entry a level: 1.15, 0.85, 1.225, 0.775, 1.4, 0.6, 2.0, 1.0, 1.075, 0.925; farms of all.
std::vector<LevelRates> simulate_minutes(const MinutesPlan& plan, int farms, std::uint64_t seed);

// Average minutes that Wald's test, told all variances, takes at one level: its trees' worth of
// information at what a minute of this plan brings.
double minutes_bound(const MinutesPlan& plan, double ratio);

// How many are told by the end of that day by Wald's test that is told every variance, of hands
// that stay as they are overnight: no way of judging the same counts and looks does better.
double told_bound(const MinutesPlan& plan, double ratio, int days, std::uint64_t seed);

// The variance of a day's mean, relative, by ranked sets of that many trees in the same minutes:
// one of each set counted, by the rank whose turn it is (G. A. McIntyre, 1952), limbs by what is
// best. Measured on made-up trees.
double ranked_variance(const MinutesPlan& plan, int set, std::uint64_t seed);

}  // namespace nthtree::oc
