// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "advice/drift_model.h"
#include "stats/cusum.h"

namespace nthtree::advice {

LevelChart::LevelChart(double sd, double step, double run_length, int head)
    : sd_(std::max(1e-6, sd)), reference_(step / (2 * sd_)), limit_(5), head_(head) {
  const auto h = stats::cusum_h_for_run_length(reference_, run_length);
  if (h) limit_ = *h;
}

void LevelChart::restart() {
  known_sum_ = known_count_ = run_sum_ = 0;
  run_ = up_run_ = down_run_ = 0;
  up_ = down_ = up_run_sum_ = down_run_sum_ = 0;
}

void LevelChart::expect(double mean, double counts) {
  known_sum_ = mean * counts;
  known_count_ = counts;
}

double LevelChart::baseline() const { return known_sum_ / known_count_; }

bool LevelChart::add(double value) {
  if (known_count_ < head_) {
    residual_ = known_count_ > 0 ? (value - baseline()) / sd_ : 0;
    known_sum_ += value;
    known_count_ += 1;
    return false;
  }
  // A mean learnt from few counts is itself off by sd / sqrt(n): the residual is scaled down so
  // that its spread stays one.
  const double scale = sd_ * std::sqrt(1 + 1 / known_count_);
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
  if (up_ > limit_ || down_ > limit_) {
    const bool is_up = up_ > limit_;
    alarm_run_ = is_up ? up_run_ : down_run_;
    alarm_change_ = (is_up ? up_run_sum_ : down_run_sum_) / alarm_run_ - baseline();
    restart();
    return true;
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

}  // namespace nthtree::advice
