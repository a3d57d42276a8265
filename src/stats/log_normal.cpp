// SPDX-License-Identifier: Apache-2.0
#include "stats/log_normal.h"

#include <cmath>
#include <numbers>
#include <vector>

#include "stats/mean_interval.h"
#include "stats/summary.h"

namespace nthtree::stats {

Result<LogNormalFit> fit_log_normal(std::span<const double> values, double confidence) {
  if (auto error = check_values(values, "values", 2)) return *error;
  if (auto error = check_confidence(confidence)) return *error;
  std::vector<double> logs;
  for (double value : values) {
    if (!(value > 0)) return out_of_range("values", value, "above 0");
    logs.push_back(std::log(value));
  }
  const auto summary = summarize(logs);
  const double n = static_cast<double>(values.size());
  LogNormalFit fit;
  fit.n = values.size();
  fit.log_mean = summary->mean;
  fit.log_sd = summary->sd;
  fit.median = std::exp(fit.log_mean);
  fit.mean = std::exp(fit.log_mean + summary->variance / 2);
  fit.cv = std::sqrt(std::expm1(summary->variance));
  if (!std::isfinite(fit.mean) || !std::isfinite(fit.cv)) {
    return out_of_range("values", summary->sd, "values whose logarithms spread less than 20");
  }
  const double variance_n = summary->variance * (n - 1) / n;
  if (variance_n > 0) {
    fit.log_likelihood =
        -summary->sum - n / 2 * (std::log(2 * std::numbers::pi * variance_n) + 1);
  }
  auto interval = mean_interval(values, MeanMethod::log_cox, confidence);
  if (!interval) return interval.error();
  fit.mean_interval = interval->interval;
  return fit;
}

}  // namespace nthtree::stats
