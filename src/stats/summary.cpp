// SPDX-License-Identifier: Apache-2.0
#include "stats/summary.h"

#include <algorithm>
#include <cmath>

namespace nthtree::stats {
namespace {

class CompensatedSum {
 public:
  void add(double value) {
    const double next = sum_ + value;
    lost_ += std::fabs(sum_) >= std::fabs(value) ? (sum_ - next) + value : (value - next) + sum_;
    sum_ = next;
  }
  double value() const { return sum_ + lost_; }

 private:
  double sum_ = 0;
  double lost_ = 0;
};

}  // namespace

double Summary::standard_error() const {
  return n == 0 ? 0 : sd / std::sqrt(static_cast<double>(n));
}

double exact_sum(std::span<const double> values) {
  CompensatedSum sum;
  for (double value : values) sum.add(value);
  return sum.value();
}

Result<Summary> summarize(std::span<const double> values) {
  if (auto error = check_values(values, "values", 1)) return *error;
  const double n = static_cast<double>(values.size());
  // Deviations from the first value are small where all values share many leading digits.
  const double origin = values[0];
  CompensatedSum offset;
  for (double value : values) offset.add(value - origin);
  const double mean_offset = offset.value() / n;

  CompensatedSum squares, cubes, products;
  for (std::size_t i = 0; i < values.size(); ++i) {
    const double deviation = (values[i] - origin) - mean_offset;
    squares.add(deviation * deviation);
    cubes.add(deviation * deviation * deviation);
    if (i > 0) products.add(((values[i - 1] - origin) - mean_offset) * deviation);
  }

  Summary summary;
  summary.n = values.size();
  summary.sum = exact_sum(values);
  summary.mean = summary.sum / n;
  summary.min = *std::min_element(values.begin(), values.end());
  summary.max = *std::max_element(values.begin(), values.end());
  // Squares of a spread below 1e-154 are zero: such values count as alike.
  if (values.size() > 1 && summary.min < summary.max && squares.value() > 0) {
    summary.variance = squares.value() / (n - 1);
    summary.sd = std::sqrt(summary.variance);
    summary.lag1_autocorrelation = products.value() / squares.value();
    const double m2 = squares.value() / n;
    if (m2 > 0) summary.skewness = cubes.value() / n / (m2 * std::sqrt(m2));
    if (summary.mean != 0) summary.cv = summary.sd / std::fabs(summary.mean);
  }
  return summary;
}

void RunningSummary::add(double value) {
  ++n_;
  const double before = value - mean_;
  mean_ += before / static_cast<double>(n_);
  squares_ += before * (value - mean_);
}

double RunningSummary::variance() const {
  return n_ < 2 ? 0 : squares_ / static_cast<double>(n_ - 1);
}

double RunningSummary::sd() const { return std::sqrt(variance()); }

}  // namespace nthtree::stats
