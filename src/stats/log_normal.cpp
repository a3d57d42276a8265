// SPDX-License-Identifier: Apache-2.0
#include "stats/log_normal.h"

#include <algorithm>
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

namespace {

bool all_whole(std::span<const double> values) {
  return std::all_of(values.begin(), values.end(),
                     [](double value) { return value == std::floor(value); });
}

// Upper ends of classes that each hold about `expected` of n values under the fit; the last class
// is open. Of whole numbers a class holds whole ones: an end between two of them, or a class
// narrower than one number would stand empty beside one that holds them all.
std::vector<double> class_ends(const LogNormalFit& fit, double n, double expected, bool whole) {
  std::vector<double> ends;
  const double classes = std::fmax(1, std::floor(n / expected));
  for (double i = 1; i < classes; ++i) {
    double end = std::exp(fit.log_mean + fit.log_sd * normal_quantile(i / classes));
    if (whole) end = std::floor(end) + 0.5;
    if (ends.empty() || end > ends.back()) ends.push_back(end);
  }
  return ends;
}

}  // namespace

Result<LogNormalGoodness> goodness_of_fit(std::span<const double> values, const LogNormalFit& fit,
                                          double expected_min) {
  if (auto error = check_values(values, "values", 2)) return *error;
  if (auto error = check_positive(expected_min, "expected_min")) return *error;
  for (double value : values) {
    if (!(value > 0)) return out_of_range("values", value, "above 0");
  }
  const double n = static_cast<double>(values.size());
  LogNormalGoodness result;
  result.classes = std::fmax(1, std::floor(n / expected_min));
  if (!(fit.log_sd > 0) || result.classes < 4) return result;
  const std::vector<double> ends = class_ends(fit, n, expected_min, all_whole(values));
  result.classes = static_cast<double>(ends.size() + 1);
  if (result.classes < 4) return result;
  std::vector<double> observed(ends.size() + 1);
  for (double value : values) {
    observed[static_cast<std::size_t>(
        std::upper_bound(ends.begin(), ends.end(), value) - ends.begin())] += 1;
  }
  double below = 0;
  for (std::size_t i = 0; i < observed.size(); ++i) {
    const double through =
        i < ends.size() ? normal_cdf((std::log(ends[i]) - fit.log_mean) / fit.log_sd) : 1;
    const double expected = n * (through - below), apart = observed[i] - expected;
    result.chi_squared += apart * apart / expected;
    below = through;
  }
  result.df = result.classes - 3;
  result.p_value = chi_squared_upper(result.chi_squared, result.df);
  return result;
}

}  // namespace nthtree::stats
