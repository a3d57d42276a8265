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

// Counts between false alarms that the level chart's limit is set for while its mean is known.
inline constexpr double level_run_length_aimed = 400;

// A two-sided CUSUM whose in-control mean is learnt from the counts that are not part of the
// present run away from zero.
class LevelChart {
 public:
  // sd: of one value; step: the change to find, in the values' unit; head: values that only teach.
  LevelChart(double sd, double step, double run_length, int head = 8);

  // Takes the next value; true where it raises an alarm (the chart then starts anew).
  bool add(double value);
  void restart();
  // What is known of the level from before: as if `counts` values with that mean had been seen.
  void expect(double mean, double counts);

  double up() const { return up_; }
  double down() const { return down_; }
  double reference() const { return reference_; }  // in sd
  double limit() const { return limit_; }          // in sd
  double residual() const { return residual_; }
  // Of the last alarm: values since the likely change, and how far the mean moved.
  int alarm_run() const { return alarm_run_; }
  double alarm_change() const { return alarm_change_; }
  double alarm_baseline() const { return alarm_baseline_; }  // the mean before it

 private:
  double baseline() const;

  double sd_, reference_, limit_;
  int head_;
  double known_sum_ = 0, known_count_ = 0;    // outside the present run
  double run_sum_ = 0;
  int run_ = 0;                               // values in the present run
  double up_ = 0, down_ = 0, residual_ = 0;
  double up_run_sum_ = 0, down_run_sum_ = 0;
  int up_run_ = 0, down_run_ = 0;
  int alarm_run_ = 0;
  double alarm_change_ = 0, alarm_baseline_ = 0;
};

// Whether the counts since an alarm bear it out: the likelihood ratio of the change against none.
// It may fall so far by chance where the change is real in one case of twenty (A. Wald).
class AlarmSupport {
 public:
  void raised(const LevelChart& chart, double sd);
  void add(double value);
  bool gone() const { return log_ratio_ < -gone_below; }

 private:
  static constexpr double gone_below = 3, most = 3;
  double baseline_ = 0, change_ = 0, sd_ = 1, log_ratio_ = 0;
};

Drift drift_in(const BlockContext& context, const std::string& person);

}  // namespace nthtree::advice
