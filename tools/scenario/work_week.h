// SPDX-License-Identifier: Apache-2.0
//
// The week of pruning: who takes which row, which trees are counted and by whom, what is written on
// the tags, re-counted, mended, mistyped and taken back, and the half day of rain.
//
//   WorkWeek week(options, farm, random, diary);
//   week.run();
#pragma once

#include <cstdint>
#include <map>
#include <utility>
#include <vector>

#include "base/random.h"
#include "diary.h"
#include "farm_plan.h"
#include "part_work.h"

namespace nthtree::scenario {

struct TaggedTree {
  std::size_t pruner, block;
  orchard::TreeAddress tree;
  std::int64_t at_ms;
  double truth;       // as pruned
  double share_left;  // of it, after a mend
  bool checked = false;  // or not to be checked
};

class WorkWeek {
 public:
  WorkWeek(const Options& options, const FarmPlan& farm, base::Random& random, Diary& diary);
  void run();
  const std::vector<TaggedTree>& tagged() const { return tagged_; }

 private:
  struct Hand {  // where a pruner is
    std::size_t block = 0;
    int row = 0, tree = 0;  // the tree last pruned; row 0: needs a row
    bool walks_up = true;
    double hour = 0;
    double spell_start = 0;
    int spell_trees = 0;
  };
  struct Seen {  // a tree that nobody counted
    std::size_t pruner, block;
    orchard::TreeAddress tree;
    double truth;
  };

  void half_day(int day, double from_hour, double to_hour);
  std::size_t block_on(std::size_t pruner, int day) const;
  bool step(std::size_t pruner, int day, double to_hour);  // one tree; false: nothing left to do
  bool next_tree(std::size_t pruner, int day);
  bool is_finished(std::size_t block) const;
  struct Grown {
    double spurs = 0;
    ledger::SizeClass size = ledger::SizeClass::middling;
  };
  Grown grow(std::size_t pruner, int day);  // the tree the hand stands at, as pruned
  void say_size(std::size_t pruner, std::int64_t at_ms, const Grown& grown);
  void count(std::size_t pruner, int day);
  void count_limbs(std::size_t pruner, int day);
  void look_at(std::size_t pruner, int day);
  void leads_walk(int day, double at_hour);
  double level(const PrunerPlan& pruner, int day, double hour) const;
  int as_written(const PrunerPlan& pruner, double truth);
  void maybe_mend(ledger::TagCount& tag, double target);
  void write_tag(const PrunerPlan& plan, std::int64_t at_ms, const ledger::TagCount& tag);
  void end_spell(std::size_t pruner, int day);
  void leads_check(int day, double from_hour, double to_hour);
  void advise(int day);
  void progress(std::size_t block, ledger::BlockStep step, std::int64_t at_ms);

  const Options& options_;
  const FarmPlan& farm_;
  base::Random& random_;
  Diary& diary_;
  std::vector<Hand> hands_;
  std::vector<int> next_row_;                  // of each block
  std::vector<bool> started_, finished_;
  std::vector<std::vector<double>> row_effect_;
  std::map<std::pair<int, int>, double> day_effect_;  // by gang and day
  std::vector<TaggedTree> tagged_;
  int counts_ = 0;
  PartWork parts_;
  std::vector<Seen> seen_;       // of this half day, for the lead's walk
  std::size_t walked_tags_ = 0;  // of tagged_, those the lead has walked past
};

}  // namespace nthtree::scenario
