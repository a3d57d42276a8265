// SPDX-License-Identifier: Apache-2.0
//
// The rest of a year, from a pruned farm on: a station's temperatures, growth stages, a frost night
// where there was one, the second pass, harvest, return bloom of the trees picked the year before,
// and the season's end. What an on-year and an off-year are comes in as a YearPlan.
//
//   Year year(plan, options, farm, random, diary);
//   year.temperatures();
//   const auto picked = year.rest(week.tagged(), picked_last_year);
#pragma once

#include <vector>

#include "base/random.h"
#include "diary.h"
#include "farm_plan.h"
#include "work_week.h"

namespace nthtree::scenario {

struct YearPlan {
  const char* shows;          // what the year is in the scenario for
  double goal = 1;            // of the usual crop, that the farm aims at
  double floral_logit = 0;    // added to every block's floral fraction, on the logit
  double set = 1;             // fruits on a live flowering spur, times what the block's factor says
  int later_days = 0;         // of green tip, against the farm's expectation
  int frost_on_day = -1;      // the morning after; -1: none
  double frost_low_c = 0;
  double alive_low_ground = 1, alive_high_ground = 1;  // shares of the floral buds after it
};

// A tree that is followed from its tag to the next spring.
struct FollowedTree {
  std::size_t block;
  orchard::TreeAddress tree;
  double spurs;      // left on it
  double flowering;  // of these, alive after the frost
  int fruits;
};

class Year {
 public:
  Year(const YearPlan& plan, const Options& options, const FarmPlan& farm, base::Random& random,
       Diary& diary)
      : plan_(plan), options_(options), farm_(farm), random_(random), diary_(diary) {}

  void temperatures();
  // Everything after pruning; last: the trees followed in the year before. Returns this year's.
  std::vector<FollowedTree> rest(const std::vector<TaggedTree>& tagged,
                                 const std::vector<FollowedTree>& last);

 private:
  std::vector<FollowedTree> follow(const std::vector<TaggedTree>& tagged);
  void stages(std::size_t block);
  void second_pass(const std::vector<FollowedTree>& trees);
  void return_bloom(const std::vector<FollowedTree>& last);
  void frost();
  void harvest(std::vector<FollowedTree>& trees);
  void close();
  void note_by_lead(std::size_t block, int day, double hour, ledger::Body body);
  double alive(std::size_t block) const;
  int green_tip_day(std::size_t block) const;

  const YearPlan& plan_;
  const Options& options_;
  const FarmPlan& farm_;
  base::Random& random_;
  Diary& diary_;
};

}  // namespace nthtree::scenario
