// SPDX-License-Identifier: Apache-2.0
#include "stats/part_total.h"

#include <cmath>
#include <vector>

#include "stats/summary.h"

namespace nthtree::stats {
namespace {

// Half the mean square of neighbours' differences: the variance of parts that follow a trend.
double successive_variance(std::span<const double> values) {
  double squares = 0;
  for (std::size_t i = 1; i < values.size(); ++i) {
    squares += (values[i] - values[i - 1]) * (values[i] - values[i - 1]);
  }
  return squares / (2 * static_cast<double>(values.size() - 1));
}

// L²(1/k - 1/L): what a variance between parts makes of the total.
double spread_of_total(double parts, double counted) {
  return parts * parts * (1 / counted - 1 / parts);
}

}  // namespace

Result<PartTotal> part_total(std::span<const double> counted, std::size_t parts) {
  if (auto error = check_counts(counted, "counted", 1)) return *error;
  if (counted.size() > parts) {
    return out_of_range("parts", static_cast<double>(parts), "the number counted or more");
  }
  PartTotal result;
  result.parts = parts;
  result.counted = counted.size();
  const double k = static_cast<double>(counted.size()), all = static_cast<double>(parts);
  const double mean = exact_sum(counted) / k;
  result.total = all * mean;
  if (counted.size() < 2) return result;
  const double variance = summarize(counted)->variance;
  if (mean > 0) result.cv = std::sqrt(variance) / mean;
  result.variance_random = spread_of_total(all, k) * variance;
  result.variance_successive = spread_of_total(all, k) * successive_variance(counted);
  return result;
}

Result<PartTruth> part_total_over_starts(std::span<const double> parts, std::size_t step) {
  if (auto error = check_counts(parts, "parts", 3)) return *error;
  if (step < 2 || step > parts.size()) {
    return out_of_range("step", static_cast<double>(step), "from 2 to the number of parts");
  }
  const double all = static_cast<double>(parts.size()), starts = static_cast<double>(step);
  PartTruth truth;
  truth.total = exact_sum(parts);
  const double variance = summarize(parts)->variance;
  for (std::size_t first = 0; first < step; ++first) {
    double sum = 0, k = 0;
    for (std::size_t i = first; i < parts.size(); i += step) {
      sum += parts[i];
      k += 1;
    }
    const double mean_form = all * sum / k - truth.total, expanded = starts * sum - truth.total;
    truth.mean += mean_form / starts;
    truth.variance += mean_form * mean_form / starts;
    truth.mean_expanded += expanded / starts;
    truth.variance_expanded += expanded * expanded / starts;
    truth.variance_random += spread_of_total(all, k) * variance / starts;
  }
  truth.mean += truth.total;
  truth.mean_expanded += truth.total;
  return truth;
}

Result<double> multilevel_total(std::span<const double> periods, double counted) {
  if (auto error = check_values(periods, "periods", 1)) return *error;
  if (!std::isfinite(counted)) return not_finite("counted", 0);
  double product = counted;
  for (const double period : periods) {
    if (period < 1) return out_of_range("periods", period, "1 or more");
    product *= period;
  }
  return product;
}

}  // namespace nthtree::stats
