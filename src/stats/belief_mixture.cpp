// SPDX-License-Identifier: Apache-2.0
#include "stats/belief_mixture.h"

#include <algorithm>
#include <cmath>

#include "stats/quantiles.h"

namespace nthtree::stats {
namespace {

// Chances as likely as a value made each part; equal to a constant factor.
double log_likelihood(const NormalBelief& belief, double value, double variance) {
  const double spread = belief.variance() + variance;
  const double off = value - belief.mean;
  return -0.5 * (std::log(spread) + off * off / spread);
}

double cdf_of(const NormalBelief& belief, double x) {
  return normal_cdf((x - belief.mean) / belief.sd());
}

double density_of(const NormalBelief& belief, double x) {
  const double z = (x - belief.mean) / belief.sd();
  return std::exp(-z * z / 2) / (belief.sd() * 2.5066282746310002);  // √(2π)
}

NormalBelief after(const NormalBelief& belief, double value, double variance) {
  return variance > 0 ? observe(belief, value, variance) : NormalBelief{value, infinity};
}

}  // namespace

double BeliefMixture::mean() const {
  return usual.mean + off_chance * (off.mean - usual.mean);
}

double BeliefMixture::variance() const {
  const double apart = off.mean - usual.mean;
  return (1 - off_chance) * usual.variance() + off_chance * off.variance() +
         off_chance * (1 - off_chance) * apart * apart;
}

double BeliefMixture::sd() const { return std::sqrt(variance()); }

double BeliefMixture::cdf(double x) const {
  return (1 - off_chance) * cdf_of(usual, x) + off_chance * cdf_of(off, x);
}

double BeliefMixture::quantile(double p) const {
  NTHTREE_ASSERT(p > 0 && p < 1);
  const double z = normal_quantile(p);
  // It lies between the parts' own; Newton's steps, halved where they leave the bracket.
  double low = std::min(usual.mean + z * usual.sd(), off.mean + z * off.sd());
  double high = std::max(usual.mean + z * usual.sd(), off.mean + z * off.sd());
  double x = usual.mean + z * usual.sd();
  for (int step = 0; step < 60 && high - low > 1e-12 * (1 + std::fabs(x)); ++step) {
    const double above = cdf(x) - p;
    if (std::fabs(above) < 1e-13) break;
    (above > 0 ? high : low) = x;
    const double slope =
        (1 - off_chance) * density_of(usual, x) + off_chance * density_of(off, x);
    const double next = x - above / slope;
    x = slope > 0 && next > low && next < high ? next : (low + high) / 2;
  }
  return x;
}

BeliefMixture observe(const BeliefMixture& belief, double value, double variance) {
  NTHTREE_ASSERT(std::isfinite(value) && variance >= 0);
  BeliefMixture seen{after(belief.usual, value, variance), after(belief.off, value, variance),
                     belief.off_chance};
  if (belief.off_chance > 0 && belief.off_chance < 1) {
    const double odds = std::log(belief.off_chance / (1 - belief.off_chance)) +
                        log_likelihood(belief.off, value, variance) -
                        log_likelihood(belief.usual, value, variance);
    seen.off_chance = 1 / (1 + std::exp(-odds));
  }
  return seen;
}

}  // namespace nthtree::stats
