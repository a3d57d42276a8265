// SPDX-License-Identifier: Apache-2.0
//
// drift.h over evidence already gathered, and its charts as plain functions of residuals.
// Internal to advice/; the simulator measures the charts through here.
#pragma once

#include <string>
#include <vector>

#include "advice/internal/context.h"
#include "advice/judged/drift.h"

namespace nthtree::advice {

// What the level chart's limit is set for, as if its mean were known: so that whole farms keep 400.
inline constexpr double level_run_length_aimed = 440;

// In whole farms (oc/farm.md) a pruner sees no false flag for so many counts in a block, then one
// in so many: within a quarter of what blocks of ten and thirty days show.
inline constexpr double counts_without_flags = 25, counts_between_flags = 350;

// After so many counts more an alarm is history: the level was judged since.
inline constexpr int alarm_lasts_counts = 20;

// of_mean: values are 3 times the cube roots of counts, whose spread goes with them; sd and step
// are shares of the mean. fixed: sd and step are in the unit of the values.
enum class ChartScale { fixed, of_mean };

// A two-sided CUSUM whose in-control mean is learnt from the counts that are not part of the
// present run away from zero.
class LevelChart {
 public:
  struct Alarm {
    int run = 0;          // values since the likely change
    double change = 0;    // how far the mean moved, in the unit of `step`
    double baseline = 0;  // the mean before it
    double sd = 1;        // of one value then
  };

  // sd: of one value; step: the change to find; head: values that only teach.
  LevelChart(double sd, double step, double run_length, ChartScale scale = ChartScale::fixed,
             int head = 8);

  // Of the values to come.
  void set_spread(double sd);
  // Takes the next value; true where it raises an alarm (the chart then starts anew).
  bool add(double value);
  void restart();
  // The last alarm was none: what was known before it counts again.
  void take_back();

  double up() const { return up_; }
  double down() const { return down_; }
  double reference() const { return reference_; }  // in sd
  double limit() const { return limit_; }          // in sd
  double residual() const { return residual_; }
  const Alarm& alarm() const { return alarm_; }    // the last one
  double alarm_in_sd() const { return alarm_.change / sd_; }

 private:
  void learn_anew();
  double baseline() const;
  double unit() const;  // what one of sd and step is worth in values

  double step_, run_length_;
  double sd_ = 0, reference_ = 0, limit_ = 0;
  ChartScale scale_;
  int head_;
  double known_sum_ = 0, known_count_ = 0;    // outside the present run
  double run_sum_ = 0;
  int run_ = 0;                               // values in the present run
  double up_ = 0, down_ = 0, residual_ = 0;
  double up_run_sum_ = 0, down_run_sum_ = 0;
  int up_run_ = 0, down_run_ = 0;
  double before_sum_ = 0, before_count_ = 0;  // known until the last alarm
  Alarm alarm_;
};

// Whether the counts since an alarm bear it out: the likelihood ratio of the change against none.
// It may fall so far by chance where the change is real in one case of twenty (A. Wald).
class AlarmSupport {
 public:
  void raised(const LevelChart& chart);
  void add(double value);
  bool gone() const { return gone_; }
  // With this value it became plain that there was no change: gone, or by the time an alarm is
  // history less likely than none.
  bool refuted() const { return refuted_; }

 private:
  static constexpr double gone_below = 3, most = 3;
  double baseline_ = 0, step_ = 0, sd_ = 1, log_ratio_ = 0;
  int counts_ = alarm_lasts_counts;  // since the alarm
  bool gone_ = false, refuted_ = false;
};

Drift drift_in(const BlockContext& context, const std::string& person);

}  // namespace nthtree::advice
