// SPDX-License-Identifier: Apache-2.0
//
// One person's counts in one block, added up, so that one more of them costs the counts of its own
// day and not those of a season. Internal to advice/.
//
// A day here ends at midnight or where advice was given. What it says is a few sums: of the spread
// about its mean, and of the shares, which is all that the level's filter needs where trees were
// counted whole. Once a count of the next day follows they stand; until then they are made anew of
// the day's counts with each one that comes.
//
// Held to: what was taken in count by count is, to the last bit, what all counts taken at once say.
// How people miss spurs (bias), what limbs leave open and which trees are set aside is in the sums:
// where one of these is another than before, they are made anew.
//
//   CountSums sums;
//   sums.take(person, bias_log_mean, limb_variance);   // again after each count
//   Spread own = person_spread(sums, block);
//   Track level = track(person, target, bias_log_mean, own, movement, start, sums.days());
#pragma once

#include <cstdint>
#include <map>
#include <span>
#include <string>
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
  // From the first count on; the last one is in none of them, what surprised is told of it alone.
  std::span<const DayCounts> days() const { return days_; }

 private:
  bool fits(const CountRun& run, double bias_log_mean, double limb_variance) const;

  double bias_log_mean_ = 0, limb_variance_ = 0;
  bool bare_few_ = true;
  std::size_t taken_ = 0, closed_ = 0;  // counts: all, and those of days that are over …
  std::size_t days_over_ = 0;           // … which are so many
  GroupSize rows_;              // counts of a row and day
  SpreadSums spread_, spread_over_;
  std::vector<DayCounts> days_;
};

// The end of one person's counts in one block, as if there had been no others: what is told of it
// elsewhere. Made anew when that person counts here again, and not when anybody else does.
class LastSums {
 public:
  // Between two calls the evidence may have grown at its end, as above.
  void take(const PersonEvidence& person, double bias_log_mean, double limb_variance);

  const CountRun& run() const { return run_; }  // good until the evidence changes
  const SpreadSums& spread() const { return sums_.spread(); }
  std::span<const DayCounts> days() const { return sums_.days(); }

 private:
  std::size_t counts_ = 0;  // of all, when the run was cut
  CountRun run_;
  CountSums sums_;
};

// By person, of one block.
using PeopleSums = std::map<std::string, CountSums>;
using LastOfPeople = std::map<std::string, LastSums>;

}  // namespace nthtree::advice
