// SPDX-License-Identifier: Apache-2.0
//
// The seam for chance: a small seeded generator with the same sequence on every platform, because
// the standard library's distributions differ between libstdc++ and libc++.
//
// Not for keys or tokens: those come from the platform's own source of randomness.
//
//   Random random(42);
//   double u = random.uniform();
//   std::uint64_t start = random.below(stride);
#pragma once

#include <cstdint>

namespace nthtree::base {

// xoshiro256** 1.0 (D. Blackman and S. Vigna, ACM Trans. Math. Softw. 47, 2021), seeded by
// splitmix64. Period 2^256 - 1.
class Random {
 public:
  explicit Random(std::uint64_t seed);

  std::uint64_t next();               // 64 uniform bits
  double uniform();                   // [0, 1), 53 bits
  std::uint64_t below(std::uint64_t limit);  // 0 … limit - 1, unbiased; limit > 0
  double normal();                    // mean 0, variance 1 (Marsaglia's polar method)
  double gamma(double shape);         // scale 1; shape > 0 (Marsaglia and Tsang 2000)
  std::int64_t poisson(double mean);  // mean >= 0
  // Negative binomial with the given mean and dispersion k (variance = mean + mean²/k).
  std::int64_t negative_binomial(double mean, double k);
  bool chance(double probability) { return uniform() < probability; }

 private:
  std::uint64_t state_[4];
  double spare_normal_ = 0;
  bool has_spare_normal_ = false;
};

}  // namespace nthtree::base
