// SPDX-License-Identifier: Apache-2.0
//
// Where to go back, and is it worth it: the rows that stand wrong, by whose hand and since when,
// ranked by what an hour of going back brings.
//
// A stretch is the rows one person pruned between two moments at which that person's work changed:
// advice, or the likely beginning of a drift. What stands on a tree there is believed as normal:
// the counts of that time, drawn towards the crew's level. Going back takes `walk` minutes a tree
// and takes off what is over; what is left standing is thinned by hand later and, where the farm
// says so, costs small fruit and next year's bloom. The gain is linear in what stands on a tree,
// so the value of looking first (counting a few trees there) is that of
// stats/value_of_information.h. Too few cannot be put back; then only its price is told. Not
// modelled: how many trees an hour a tired crew mends, fruit that stays small for other reasons.
//
//   GoingBack back = going_back(season, now_ms);
//   for (const Stretch& stretch : back.stretches) if (stretch.what == Back::go) …
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "advice/known/rows_pruned.h"
#include "advice/reason.h"
#include "ledger/season.h"
#include "orchard/target.h"
#include "stats/value_of_information.h"

namespace nthtree::advice {

enum class Back {
  go,          // go back and take off what is over
  look_first,  // count a few trees there first: looking is worth more than acting
  leave,       // it costs more than it brings, or little is wrong
  too_few,     // too few are left, which cannot be put back
};

struct Stretch {
  std::string block, person;
  std::vector<int> rows;             // in order
  std::vector<RowPart> parts;        // the same with what of each row, and when
  double trees = 0;                  // bearing
  std::int64_t from_ms = 0, to_ms = 0;  // when these rows were pruned
  bool inferred = false;             // some rows were not logged
  int counts = 0;                    // tag counts in these rows at that time
  orchard::Estimate spurs_per_tree;  // left on a tree, 90 %
  orchard::Estimate over_target;     // the same less the target
  double chance_over = 0, chance_under = 0;  // that its mean lies beyond the band
  double share_over = 0, share_under = 0;    // of its trees, expected beyond it
  double minutes_per_tree = 0;       // to go back to one, walk and all
  int mended_trees = 0;              // timed in this block, that these minutes are learnt from
  double hours = 0;                  // for the whole stretch
  double cost_now = 0;               // of going back, at the farm's wage
  double cost_later = 0;             // of leaving it (thinning, small fruit), or of too few
  double gain = 0;                   // cost_later - cost_now, expected; spurs where no rates
  double gain_per_hour = 0;
  double chance_it_pays = 0;
  stats::LooksPlan looks;            // trees to count first, in the unit of gain
  Back what = Back::leave;
  bool in_time = true;               // false: beyond the hours left
  bool in_second_pass = false;       // in time, but only between green tip and bloom
  // The three that weigh most: back_over, back_counts, back_inferred, back_pays, back_look,
  // back_dear, back_short, back_late, back_second_pass.
  std::vector<Reason> reasons;
};

struct GoingBack {
  bool has_rates = false;            // the farm's wage and thinning rate are known
  std::vector<Stretch> stretches;    // best first
};

// Over all blocks with a target, at now_ms.
GoingBack going_back(const ledger::Season& season, std::int64_t now_ms);
// One block alone.
std::vector<Stretch> stretches_in(const ledger::Season& season, const std::string& block,
                                  std::int64_t now_ms);

}  // namespace nthtree::advice
