// SPDX-License-Identifier: Apache-2.0
//
// Seeded samples for the property tests of this folder, and the check that nothing is NaN.
//
//   for (const auto& counts : count_samples(50)) …
#pragma once

#include <algorithm>
#include <cmath>
#include <vector>

#include "base/random.h"
#include "stats/interval.h"

namespace nthtree::stats_test {

// `how_many` samples of 2 to 40 negative binomial counts with means 0.2 to 400; some hold zeros,
// some are constant.
inline std::vector<std::vector<double>> count_samples(int how_many, std::uint64_t seed = 17) {
  base::Random random(seed);
  std::vector<std::vector<double>> samples;
  for (int i = 0; i < how_many; ++i) {
    const double mean = 0.2 * std::pow(2000, random.uniform());
    const double k = 0.3 * std::pow(300, random.uniform());
    std::vector<double> sample(2 + random.below(39));
    for (double& x : sample) x = static_cast<double>(random.negative_binomial(mean, k));
    if (i % 10 == 9) sample.assign(sample.size(), sample[0]);
    samples.push_back(sample);
  }
  return samples;
}

inline std::vector<double> shuffled(std::vector<double> values, base::Random& random) {
  for (std::size_t i = values.size(); i > 1; --i) {
    std::swap(values[i - 1], values[random.below(i)]);
  }
  return values;
}

inline bool ordered(const stats::Interval& interval) {
  return !std::isnan(interval.low) && !std::isnan(interval.high) && interval.low <= interval.high;
}

}  // namespace nthtree::stats_test
