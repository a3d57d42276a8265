// SPDX-License-Identifier: Apache-2.0
#include "world.h"

#include <algorithm>
#include <cmath>

namespace nthtree::oc {

TreeLine::TreeLine(const Truth& truth, std::uint64_t seed) : truth_(truth), random_(seed) {
  memory_ = random_.normal();
}

// One tree with mean 1 and the given spread, as a share of the mean.
double TreeLine::draw_plain() {
  const double sd = std::sqrt(std::log1p(truth_.cv * truth_.cv));
  if (truth_.autocorrelation > 0) {
    const double r = truth_.autocorrelation;
    memory_ = r * memory_ + std::sqrt(1 - r * r) * random_.normal();
    return std::exp(sd * memory_ - sd * sd / 2);
  }
  if (truth_.shape == Shape::log_normal) return std::exp(sd * random_.normal() - sd * sd / 2);
  const double mean = truth_.target * truth_.ratio;
  const double inverse_k = std::max(1e-4, truth_.cv * truth_.cv - 1 / mean);
  return static_cast<double>(random_.negative_binomial(mean, 1 / inverse_k)) / mean;
}

Counted TreeLine::next() {
  if (truth_.row_sd > 0 && counted_ % std::max(1, truth_.counts_a_row) == 0) {
    row_ = truth_.row_sd * random_.normal() - truth_.row_sd * truth_.row_sd / 2;
  }
  ++counted_;
  moved_ += truth_.drift_per_count;
  double share = draw_plain() * std::exp(row_ + moved_);
  if (truth_.strong_share > 0) {
    const double weak = 1 / (1 - truth_.strong_share + truth_.strong_share * truth_.strong_ratio);
    share *= random_.chance(truth_.strong_share) ? weak * truth_.strong_ratio : weak;
  }
  if (truth_.zero_share > 0 && random_.chance(truth_.zero_share)) share = 0;
  Counted one;
  one.row = 1 + (counted_ - 1) / std::max(1, truth_.counts_a_row);
  one.spurs = std::max(0.0, std::round(share * truth_.ratio * truth_.target));
  const double slip = truth_.counter_sd > 0 ? std::exp(truth_.counter_sd * random_.normal() -
                                                     truth_.counter_sd * truth_.counter_sd / 2)
                                          : 1;
  one.tag = std::max(0.0, std::round(one.spurs * truth_.counter_ratio * slip));
  return one;
}

double TreeLine::level() const { return truth_.ratio * std::exp(row_ + moved_); }

}  // namespace nthtree::oc
