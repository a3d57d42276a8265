// SPDX-License-Identifier: Apache-2.0
#include "stats/limits_of_agreement.h"

#include <cmath>
#include <vector>

#include "stats/quantiles.h"
#include "stats/summary.h"

namespace nthtree::stats {

Result<LimitsOfAgreement> limits_of_agreement(std::span<const double> a, std::span<const double> b,
                                              double z, double confidence) {
  if (auto error = check_values(a, "a", 3)) return *error;
  if (auto error = check_values(b, "b", 3)) return *error;
  if (a.size() != b.size()) {
    return out_of_range("b", static_cast<double>(b.size()), "as many values as a");
  }
  if (auto error = check_positive(z, "z")) return *error;
  if (auto error = check_confidence(confidence)) return *error;
  std::vector<double> differences, sizes;
  for (std::size_t i = 0; i < a.size(); ++i) {
    differences.push_back(a[i] - b[i]);
    sizes.push_back((a[i] + b[i]) / 2);
  }
  const auto summary = summarize(differences);
  if (!summary) return summary.error();
  LimitsOfAgreement limits;
  limits.n = summary->n;
  limits.mean = summary->mean;
  limits.sd = summary->sd;
  limits.low = limits.mean - z * limits.sd;
  limits.high = limits.mean + z * limits.sd;
  const double n = static_cast<double>(limits.n);
  limits.standard_error = limits.sd / std::sqrt(n);
  limits.limit_standard_error = limits.sd * std::sqrt(1 / n + z * z / (2 * (n - 1)));
  const double t = t_quantile((1 + confidence) / 2, n - 1);
  const auto around = [&](double centre, double error) {
    return Interval{centre - t * error, centre + t * error};
  };
  limits.mean_interval = around(limits.mean, limits.standard_error);
  limits.low_interval = around(limits.low, limits.limit_standard_error);
  limits.high_interval = around(limits.high, limits.limit_standard_error);
  const auto spread_of_sizes = summarize(sizes);
  if (limits.sd > 0 && spread_of_sizes && spread_of_sizes->sd > 0) {
    double products = 0;
    for (std::size_t i = 0; i < sizes.size(); ++i) {
      products += (differences[i] - limits.mean) * (sizes[i] - spread_of_sizes->mean);
    }
    limits.size_correlation = products / (n - 1) / (limits.sd * spread_of_sizes->sd);
  }
  return limits;
}

}  // namespace nthtree::stats
