// SPDX-License-Identifier: Apache-2.0
#include "stats/log_normal.h"

#include <cmath>
#include <numbers>
#include <vector>

#include "stats/mean_interval.h"
#include "stats/quantiles.h"
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

Result<LogNormalGoodness> goodness_of_fit(std::span<const double> values, const LogNormalFit& fit,
                                          double expected_min) {
  if (auto error = check_values(values, "values", 2)) return *error;
  if (auto error = check_positive(expected_min, "expected_min")) return *error;
  const double n = static_cast<double>(values.size());
  LogNormalGoodness result;
  result.classes = std::fmax(1, std::floor(n / expected_min));
  if (!(fit.log_sd > 0) || result.classes < 4) return result;
  std::vector<double> observed(static_cast<std::size_t>(result.classes));
  for (double value : values) {
    if (!(value > 0)) return out_of_range("values", value, "above 0");
    const double chance = normal_cdf((std::log(value) - fit.log_mean) / fit.log_sd);
    const double place = std::fmin(std::floor(chance * result.classes), result.classes - 1);
    observed[static_cast<std::size_t>(place)] += 1;
  }
  const double expected = n / result.classes;
  for (double seen : observed) {
    result.chi_squared += (seen - expected) * (seen - expected) / expected;
  }
  result.df = result.classes - 3;
  result.p_value = chi_squared_upper(result.chi_squared, result.df);
  return result;
}

}  // namespace nthtree::stats
