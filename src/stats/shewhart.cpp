// SPDX-License-Identifier: Apache-2.0
#include "stats/shewhart.h"

#include <algorithm>
#include <cmath>

#include "stats/gauss_nodes.h"
#include "stats/quantiles.h"
#include "stats/summary.h"

namespace nthtree::stats {
namespace {

// Beyond ±9 a normal value has a chance of 1e-19: nothing to integrate.
constexpr double reach = 9;

ControlLimits limits(double centre, double sigma, double half, double mean_range) {
  return {centre, centre - half, centre + half, sigma, mean_range};
}

}  // namespace

double range_d2(std::size_t n) {
  NTHTREE_ASSERT(n >= 2 && n <= 1000);
  // E[range] = ∫ 1 - Φ^n - (1-Φ)^n (Tippett 1925, Biometrika 17:364).
  const double size = static_cast<double>(n);
  const GaussNodes nodes = gauss_nodes(-reach, reach, 4);
  double sum = 0;
  for (std::size_t i = 0; i < nodes.at.size(); ++i) {
    sum += nodes.weight[i] * (1 - std::pow(normal_cdf(nodes.at[i]), size) -
                              std::pow(normal_cdf(-nodes.at[i]), size));
  }
  return sum;
}

double range_d3(std::size_t n) {
  NTHTREE_ASSERT(n >= 2 && n <= 1000);
  // E[range²] = 2 ∫∫_{x<y} 1 - Φ(y)^n - (1-Φ(x))^n + (Φ(y)-Φ(x))^n.
  const double size = static_cast<double>(n);
  const GaussNodes outer = gauss_nodes(-reach, reach, 4);
  double second = 0;
  for (std::size_t i = 0; i < outer.at.size(); ++i) {
    const double y = outer.at[i];
    const GaussNodes inner = gauss_nodes(-reach, y, 4);
    double sum = 0;
    for (std::size_t j = 0; j < inner.at.size(); ++j) {
      const double x = inner.at[j];
      sum += inner.weight[j] *
             (1 - std::pow(normal_cdf(y), size) - std::pow(normal_cdf(-x), size) +
              std::pow(normal_cdf(y) - normal_cdf(x), size));
    }
    second += 2 * outer.weight[i] * sum;
  }
  const double d2 = range_d2(n);
  return std::sqrt(std::max(0.0, second - d2 * d2));
}

Result<ControlLimits> individuals_chart(std::span<const double> values, double width) {
  if (auto error = check_values(values, "values", 2)) return *error;
  if (auto error = check_positive(width, "width")) return *error;
  double ranges = 0;
  for (std::size_t i = 1; i < values.size(); ++i) ranges += std::fabs(values[i] - values[i - 1]);
  const double mean_range = ranges / static_cast<double>(values.size() - 1);
  const double sigma = mean_range / range_d2(2);
  return limits(summarize(values)->mean, sigma, width * sigma, mean_range);
}

Result<ControlLimits> mean_chart(std::span<const double> values, std::size_t group_size,
                                 double width) {
  if (group_size < 2 || group_size > 1000) {
    return out_of_range("group_size", static_cast<double>(group_size), "from 2 to 1000");
  }
  if (auto error = check_values(values, "values", group_size)) return *error;
  if (values.size() % group_size != 0) {
    return out_of_range("values", static_cast<double>(values.size()), "whole groups");
  }
  if (auto error = check_positive(width, "width")) return *error;
  double ranges = 0;
  for (std::size_t i = 0; i < values.size(); i += group_size) {
    const auto group = values.subspan(i, group_size);
    const auto ends = std::minmax_element(group.begin(), group.end());
    ranges += *ends.second - *ends.first;
  }
  const double groups = static_cast<double>(values.size() / group_size);
  const double mean_range = ranges / groups;
  const double sigma = mean_range / range_d2(group_size);
  return limits(summarize(values)->mean, sigma,
                width * sigma / std::sqrt(static_cast<double>(group_size)), mean_range);
}

Result<ControlLimits> count_chart(std::span<const double> counts, double width) {
  if (auto error = check_counts(counts, "counts", 1)) return *error;
  if (auto error = check_positive(width, "width")) return *error;
  const double mean = summarize(counts)->mean;
  ControlLimits result = limits(mean, std::sqrt(mean), width * std::sqrt(mean), 0);
  result.low = std::max(0.0, result.low);
  return result;
}

Result<ControlLimits> count_chart(double mean, double k, double width) {
  if (auto error = check_positive(mean, "mean")) return *error;
  if (!(k > 0)) return out_of_range("k", k, "above 0");
  if (auto error = check_positive(width, "width")) return *error;
  const double sigma = std::sqrt(mean + mean * mean / k);
  ControlLimits result = limits(mean, sigma, width * sigma, 0);
  result.low = std::max(0.0, result.low);
  return result;
}

double shewhart_run_length(double shift, double width) {
  NTHTREE_ASSERT(std::isfinite(shift) && width > 0);
  return 1 / (normal_cdf(shift - width) + normal_cdf(-shift - width));
}

}  // namespace nthtree::stats
