// SPDX-License-Identifier: Apache-2.0
//
// Whether a pruner's work moved, when it began, and in what: level, spread, or counting.
//
// Chart with memory on the standardized one-step-ahead residuals of the cube roots of the pruner's
// tags: two-sided CUSUM (E. S. Page, Biometrika 41, 1954) with a reference value tuned to
// a 15 % step at the pruner's own spread and a limit that gives the stated in-control run length;
// the mean in control is learnt from the counts themselves. Likely change point: where the sum
// last left zero, the maximum-likelihood point for the step it is tuned to. Spread: one-sided CUSUM
// on squared residuals. Counting: as the level, on ln(check ÷ tag). An alarm restarts its chart,
// advice restarts all; an alarm that twenty counts have gone by since is history, and so is one
// that the counts since do not bear out. Rows and days are in the chart's spread: counts of one
// row, or of one day, lean the same way. The level and spread charts take the tags alone, with the
// spread as it was known on the morning of the count: what is learnt later moves no point of them.
//
//   Drift drift = drift_of(season, "b1", "p3", now_ms);
//   if (drift.level.alarm) show(drift.level.began_ms, drift.level.change);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

struct DriftPoint {  // one count on the chart, in time order
  std::int64_t at_ms = 0;
  orchard::TreeAddress tree;
  double spurs = 0;          // calibrated
  double residual = 0;       // standardized
  double cusum_up = 0, cusum_down = 0;  // against `limit`
  double smoothed = 0;       // EWMA of spurs, for the eye
  bool segment_begins = false;  // advice was given just before
};

struct DriftAlarm {
  bool alarm = false;
  std::int64_t alarm_ms = 0;  // when it was raised
  std::int64_t began_ms = 0;  // likely change point
  int began_index = -1;       // of Drift::points
  double change = 0;          // as a fraction: +0.15 is 15 % more (level, counting: of the mean;
                              // spread: of the coefficient of variation)
  double statistic = 0, limit = 0;  // the chart's height now
};

enum class AdviceOutcome { none, too_early, worked, overshot, no_change };

struct Drift {
  std::string person;
  std::vector<DriftPoint> points;
  DriftAlarm level, spread, counting;
  double reference = 0;            // the CUSUM's k, in standard deviations
  double run_length_in_control = 0;  // counts between false alarms of the level, past the first 25
  // So often a crew with this block's counts sees one by chance; 0: too few counts for any yet.
  double false_every_days = 0;
  AdviceOutcome advice = AdviceOutcome::none;  // did the last advice work?
  double advice_change = 0;        // change since the advice, as a fraction
};

Drift drift_of(const ledger::Season& season, const std::string& block, const std::string& person,
               std::int64_t now_ms);

}  // namespace nthtree::advice
