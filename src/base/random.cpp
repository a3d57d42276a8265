// SPDX-License-Identifier: Apache-2.0
#include "base/random.h"

#include <cmath>

#include "base/result.h"

namespace nthtree::base {
namespace {

std::uint64_t splitmix(std::uint64_t& state) {
  std::uint64_t z = (state += 0x9e3779b97f4a7c15u);
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
  return z ^ (z >> 31);
}

std::uint64_t rotate_left(std::uint64_t x, int bits) { return (x << bits) | (x >> (64 - bits)); }

}  // namespace

Random::Random(std::uint64_t seed) {
  for (auto& word : state_) word = splitmix(seed);
}

std::uint64_t Random::next() {
  const std::uint64_t result = rotate_left(state_[1] * 5, 7) * 9;
  const std::uint64_t t = state_[1] << 17;
  state_[2] ^= state_[0];
  state_[3] ^= state_[1];
  state_[1] ^= state_[2];
  state_[0] ^= state_[3];
  state_[2] ^= t;
  state_[3] = rotate_left(state_[3], 45);
  return result;
}

double Random::uniform() { return static_cast<double>(next() >> 11) * 0x1.0p-53; }

std::uint64_t Random::below(std::uint64_t limit) {
  NTHTREE_ASSERT(limit > 0);
  // Values under the threshold would make the low results a little likelier: draw again.
  const std::uint64_t threshold = (0 - limit) % limit;
  for (;;) {
    const std::uint64_t bits = next();
    if (bits >= threshold) return bits % limit;
  }
}

double Random::normal() {
  if (has_spare_normal_) {
    has_spare_normal_ = false;
    return spare_normal_;
  }
  for (;;) {
    const double a = 2 * uniform() - 1;
    const double b = 2 * uniform() - 1;
    const double s = a * a + b * b;
    if (s <= 0 || s >= 1) continue;
    const double scale = std::sqrt(-2 * std::log(s) / s);
    spare_normal_ = b * scale;
    has_spare_normal_ = true;
    return a * scale;
  }
}

double Random::gamma(double shape) {
  NTHTREE_ASSERT(shape > 0);
  if (shape < 1) return gamma(shape + 1) * std::pow(1 - uniform(), 1 / shape);
  const double d = shape - 1.0 / 3;
  const double c = 1 / std::sqrt(9 * d);
  for (;;) {
    const double x = normal();
    const double v = std::pow(1 + c * x, 3);
    if (v <= 0) continue;
    const double u = 1 - uniform();
    if (std::log(u) < 0.5 * x * x + d - d * v + d * std::log(v)) return d * v;
  }
}

std::int64_t Random::poisson(double mean) {
  NTHTREE_ASSERT(mean >= 0);
  // A Poisson count is a sum of Poisson counts: chunks keep exp(-mean) away from underflow.
  std::int64_t total = 0;
  while (mean > 30) {
    total += poisson(30);
    mean -= 30;
  }
  const double limit = std::exp(-mean);
  double product = uniform();
  while (product > limit) {
    ++total;
    product *= uniform();
  }
  return total;
}

std::int64_t Random::negative_binomial(double mean, double k) {
  if (mean <= 0) return 0;
  return poisson(gamma(k) * mean / k);
}

}  // namespace nthtree::base
