// SPDX-License-Identifier: Apache-2.0
#include "stats/value_of_information.h"

#include <algorithm>
#include <cmath>

#include "stats/quantiles.h"

namespace nthtree::stats {
namespace {

// What is expected of the better choice once the mean will have moved by sd, above today's.
double expected_gain(const LinearDecision& decision, double sd) {
  if (!(sd > 0)) return 0;
  const double apart = std::fabs(decision.mean - decision.break_even);
  return decision.worth * sd * unit_normal_linear_loss(apart / sd);
}

}  // namespace

double unit_normal_linear_loss(double u) {
  if (std::isinf(u)) return u > 0 ? 0 : infinity;
  // Φ(-u) as an upper tail keeps its digits where u is large; what is left is never negative.
  return std::max(0.0, normal_density(u) - u * normal_cdf(-u));
}

double LinearDecision::value_now() const {
  return std::max(0.0, worth * (mean - break_even));
}

double value_of_perfect_information(const LinearDecision& decision) {
  return expected_gain(decision, decision.sd);
}

double value_of_looks(const LinearDecision& decision, double noise_sd, double looks) {
  NTHTREE_ASSERT(noise_sd > 0 && looks >= 0);
  const double variance = decision.sd * decision.sd;
  if (looks == 0 || variance == 0) return 0;
  // How far the mean is expected to move: s² / √(s² + σ²/n).
  return expected_gain(decision, variance / std::sqrt(variance + noise_sd * noise_sd / looks));
}

LooksPlan looks_that_pay(const LinearDecision& decision, double noise_sd, double cost_per_look,
                         int looks_max) {
  LooksPlan best;
  for (int looks = 1; looks <= looks_max; ++looks) {
    const double value = value_of_looks(decision, noise_sd, looks);
    const double net = value - cost_per_look * looks;
    if (net > best.net) best = {looks, value, net};
  }
  return best;
}

}  // namespace nthtree::stats
