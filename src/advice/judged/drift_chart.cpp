// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "advice/internal/drift_model.h"
#include "stats/cusum.h"

namespace nthtree::advice {
namespace {

constexpr double typical_run = 15;  // counts that build up an alarm
// A run that is longer than this times what the mean was learnt from says no more of a change than
// of a mean that was off from the first: whoever begins with a few high counts had a run "since"
// then for months, and a flag in the end. Half of all false flags were such.
constexpr double run_most = 2;

// The limit for a two-sided run length in control, by Siegmund's closed form, which is within a few
// per cent of the integral equation here and a thousand times cheaper (a board draws one chart a
// pruner). A two-sided chart signals twice as often as a one-sided one.
double limit_for(double reference, double run_length) {
  double low = 0.1, high = 30;
  for (int halving = 0; halving < 50; ++halving) {
    const double h = (low + high) / 2;
    const auto one_sided = stats::cusum_run_length_siegmund(reference, h, 0);
    if (!one_sided) return 5;
    (*one_sided < 2 * run_length ? low : high) = h;
  }
  return high;
}

}  // namespace

LevelChart::LevelChart(double sd, double step, double run_length, ChartScale scale, int head)
    : step_(step), run_length_(run_length), scale_(scale), head_(head) {
  set_spread(sd);
}

void LevelChart::set_spread(double sd) {
  sd = std::max(1e-6, sd);
  if (sd == sd_) return;
  sd_ = sd;
  reference_ = step_ / (2 * sd_);
  limit_ = limit_for(reference_, run_length_);
}

void LevelChart::restart() {
  known_sum_ = known_count_ = run_sum_ = before_sum_ = before_count_ = 0;
  run_ = up_run_ = down_run_ = 0;
  up_ = down_ = up_run_sum_ = down_run_sum_ = 0;
}

void LevelChart::take_back() {
  const double sum = known_sum_ + run_sum_ + before_sum_;
  const double count = known_count_ + run_ + before_count_;
  restart();
  known_sum_ = sum;
  known_count_ = count;
}

// All counts so far are the level.
void LevelChart::learn_anew() {
  const double before_sum = before_sum_, before_count = before_count_;
  const double sum = known_sum_ + run_sum_, count = known_count_ + run_;
  restart();
  known_sum_ = sum;
  known_count_ = count;
  before_sum_ = before_sum;
  before_count_ = before_count;
}

double LevelChart::baseline() const { return known_sum_ / known_count_; }

// The chart's own baseline, not the level as it is known by now: a change would alter the scale it
// is found on, and a flag come and go with every count that moves the level.
double LevelChart::unit() const {
  return scale_ == ChartScale::fixed ? 1 : std::max(1e-6, baseline() / 3);
}

bool LevelChart::add(double value) {
  if (known_count_ < head_) {
    residual_ = known_count_ > 0 ? (value - baseline()) / (sd_ * unit()) : 0;
    known_sum_ += value;
    known_count_ += 1;
    return false;
  }
  // A mean learnt from few counts is itself off by sd / sqrt(n): the residual is scaled down so
  // that its spread stays one.
  const double scale = sd_ * unit() * std::sqrt(1 + 1 / known_count_);
  residual_ = (value - baseline()) / scale;
  const double z = std::clamp(residual_, -4.0, 4.0);
  up_ = std::max(0.0, up_ + z - reference_);
  down_ = std::max(0.0, down_ - z - reference_);
  up_run_ = up_ > 0 ? up_run_ + 1 : 0;
  down_run_ = down_ > 0 ? down_run_ + 1 : 0;
  up_run_sum_ = up_ > 0 ? up_run_sum_ + value : 0;
  down_run_sum_ = down_ > 0 ? down_run_sum_ + value : 0;
  run_sum_ += value;
  ++run_;
  // The error of a learnt mean adds up along a run as a change would: the limit gives way to it
  // (measured, tests/simulation/oc: run lengths in control then hold from ten counts on).
  const double off = typical_run / known_count_;
  const double limit = limit_ * std::sqrt(1 + off + off * off / 2);
  if (up_ > limit || down_ > limit) {
    const bool is_up = up_ > limit;
    alarm_ = {is_up ? up_run_ : down_run_, 0, baseline(), sd_ * unit()};
    alarm_.change = ((is_up ? up_run_sum_ : down_run_sum_) / alarm_.run - baseline()) / unit();
    const double sum = known_sum_ + run_sum_, count = known_count_ + run_;
    restart();
    before_sum_ = sum;
    before_count_ = count;
    return true;
  }
  if (run_ > run_most * known_count_) {
    learn_anew();
    return false;
  }
  // Values older than the longer of the two runs belong to the level as it was.
  const int run = std::max(up_run_, down_run_);
  if (run == 0) {
    known_sum_ += run_sum_;
    known_count_ += run_;
    run_sum_ = 0;
    run_ = 0;
  } else if (run < run_) {
    const double kept = up_run_ >= down_run_ ? up_run_sum_ : down_run_sum_;
    known_sum_ += run_sum_ - kept;
    known_count_ += run_ - run;
    run_sum_ = kept;
    run_ = run;
  }
  return false;
}

void AlarmSupport::raised(const LevelChart& chart) {
  // What raised an alarm was picked for being high: three quarters of it are expected to last.
  constexpr double lasting = 0.75;
  *this = {};
  baseline_ = chart.alarm().baseline;
  sd_ = chart.alarm().sd;
  step_ = lasting * chart.alarm_in_sd();
  counts_ = 0;
}

void AlarmSupport::add(double value) {
  const double z = std::clamp((value - baseline_) / sd_, -4.0, 4.0);
  // Kept from growing without end, so that a change that is undone later is seen as soon.
  log_ratio_ = std::min(most, log_ratio_ + step_ * (z - step_ / 2));
  const bool was_open = counts_ < alarm_lasts_counts && !gone_;
  ++counts_;
  gone_ = gone_ || log_ratio_ < -gone_below;
  refuted_ = was_open && (gone_ || (counts_ == alarm_lasts_counts && log_ratio_ < 0));
}

}  // namespace nthtree::advice
