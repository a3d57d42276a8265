// SPDX-License-Identifier: Apache-2.0
//
// One person's counts in one block, added up, so that one more of them costs the counts of its own
// day and not those of a season. Internal to advice/.
//
// A day here ends at midnight or where advice was given. It is over when a count of the next one
// follows, and what it says is then a few sums: of the spread about its mean, and of the shares,
// which is all that the level's filter needs where trees were counted whole. The day that is not
// over yet is looked at count by count.
//
// Held to: what was taken in count by count is, to the last bit, what all counts taken at once say.
// How people miss spurs (bias), what limbs leave open and which trees are set aside is in the sums:
// where one of these is another than before, they are made anew.
//
//   CountSums sums;
//   sums.take(person, bias_log_mean, limb_variance);   // again after each count
//   Spread own = person_spread(sums, block);
//   Track level = track(person, target, bias_log_mean, own, movement, start, sums.over());
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "advice/internal/evidence.h"
#include "advice/internal/group_size.h"

namespace nthtree::advice {

class CountSums {
 public:
  CountSums() = default;
  CountSums(const CountRun& run, double bias_log_mean, double limb_variance) {
    take(run, bias_log_mean, limb_variance);
  }
  // Since the last call the counts may have grown at their end, and nothing else may have changed.
  void take(const CountRun& run, double bias_log_mean, double limb_variance);

  const SpreadSums& spread() const { return spread_; }
  std::size_t counts() const { return taken_; }
  double counts_a_row() const { return rows_.typical(); }
  // From the first count on; the last one is never among them.
  std::span<const DayCounts> over() const { return over_; }

 private:
  bool fits(const CountRun& run, double bias_log_mean, double limb_variance) const;

  double bias_log_mean_ = 0, limb_variance_ = 0;
  bool bare_few_ = true;
  std::size_t taken_ = 0, closed_ = 0;  // counts: all, and those of days that are over
  GroupSize rows_;              // counts of a row and day
  SpreadSums spread_, spread_over_;
  std::vector<DayCounts> over_;
};

}  // namespace nthtree::advice
