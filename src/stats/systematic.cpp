// SPDX-License-Identifier: Apache-2.0
#include "stats/systematic.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "stats/summary.h"

namespace nthtree::stats {

double finite_population_correction(double n, double population) {
  NTHTREE_ASSERT(n >= 0 && population > 0);
  if (std::isinf(population)) return 1;
  return std::clamp(1 - n / population, 0.0, 1.0);
}

Result<SystematicTruth> systematic_over_starts(std::span<const double> population,
                                               std::size_t stride) {
  if (auto error = check_values(population, "population", 4)) return *error;
  if (stride < 2 || stride > population.size() / 2) {
    return out_of_range("stride", static_cast<double>(stride), "from 2 to half the population");
  }
  const auto whole = summarize(population);
  SystematicTruth truth;
  truth.stride = stride;
  std::vector<double> sample;
  for (std::size_t first = 0; first < stride; ++first) {
    sample.clear();
    for (std::size_t i = first; i < population.size(); i += stride) {
      sample.push_back(population[i]);
    }
    const double mean = exact_sum(sample) / static_cast<double>(sample.size());
    truth.means.push_back(mean);
    truth.variance += (mean - whole->mean) * (mean - whole->mean);
  }
  const double starts = static_cast<double>(stride);
  const double size = static_cast<double>(population.size());
  truth.variance /= starts;
  truth.sample_size = size / starts;
  truth.variance_random = finite_population_correction(truth.sample_size, size) *
                          whole->variance / truth.sample_size;
  truth.ratio = truth.variance_random > 0 ? truth.variance / truth.variance_random : 1;
  truth.lowest_mean = *std::min_element(truth.means.begin(), truth.means.end());
  truth.highest_mean = *std::max_element(truth.means.begin(), truth.means.end());
  return truth;
}

Result<SystematicEstimate> systematic_estimate(std::span<const double> sample,
                                               double population) {
  if (auto error = check_values(sample, "sample", 2)) return *error;
  const double n = static_cast<double>(sample.size());
  if (!(population >= n)) return out_of_range("population", population, "the sample size or more");
  const auto summary = summarize(sample);
  double squares = 0;
  for (std::size_t i = 1; i < sample.size(); ++i) {
    squares += (sample[i] - sample[i - 1]) * (sample[i] - sample[i - 1]);
  }
  const double correction = finite_population_correction(n, population);
  SystematicEstimate estimate;
  estimate.n = sample.size();
  estimate.mean = summary->mean;
  estimate.variance_successive = correction / n * squares / (2 * (n - 1));
  estimate.variance_random = correction * summary->variance / n;
  // Neighbouring differences share a value: for normal data the estimate has 2(n-1)²/(3n-4)
  // degrees of freedom (von Neumann et al. 1941, Ann. Math. Stat. 12:153).
  estimate.df_successive = 2 * (n - 1) * (n - 1) / (3 * n - 4);
  return estimate;
}

TrendVariances trend_variances(std::size_t stride, std::size_t n) {
  NTHTREE_ASSERT(stride >= 1 && n >= 1);
  const double k = static_cast<double>(stride);
  const double m = static_cast<double>(n);
  return {(k * k - 1) / 12, (k - 1) * (k * m + 1) / 12, (k * k - 1) / (12 * m)};
}

std::size_t places_visited(std::size_t stride, std::size_t row_length) {
  NTHTREE_ASSERT(stride >= 1 && row_length >= 1);
  return row_length / std::gcd(stride, row_length);
}

std::size_t longest_unseen_stretch(std::size_t stride, std::size_t row_length, std::size_t n) {
  NTHTREE_ASSERT(stride >= 1 && row_length >= 1);
  std::vector<char> seen(row_length);
  // Places repeat after places_visited units, so more of them see nothing new.
  const std::size_t units = std::min(n, places_visited(stride, row_length));
  if (units == 0) return row_length;
  for (std::size_t i = 0; i < units; ++i) seen[i * stride % row_length] = 1;
  // Another start moves all units along alike; from a stride of the row's length on, any start
  // may be drawn, and some one of them leaves the widest gap uncut by the row's ends.
  const std::size_t starts = std::min(stride, row_length);
  if (starts == row_length) {
    std::size_t worst = 0, stretch = 0;
    for (std::size_t i = 0; i < 2 * row_length; ++i) {
      stretch = seen[i % row_length] ? 0 : stretch + 1;
      worst = std::max(worst, stretch);
    }
    return worst;
  }
  std::size_t worst = 0;
  for (std::size_t start = 0; start < starts; ++start) {
    std::size_t stretch = 0;
    for (std::size_t place = 0; place < row_length; ++place) {
      stretch = seen[(place + row_length - start) % row_length] ? 0 : stretch + 1;
      worst = std::max(worst, stretch);
    }
  }
  return worst;
}

bool visits_few_places(std::size_t stride, std::size_t row_length, std::size_t n) {
  return 3 * places_visited(stride, row_length) < 2 * std::min(n, row_length);
}

}  // namespace nthtree::stats
