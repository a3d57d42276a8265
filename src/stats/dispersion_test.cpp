// SPDX-License-Identifier: Apache-2.0
#include "stats/dispersion_test.h"

#include "stats/quantiles.h"
#include "stats/summary.h"

namespace nthtree::stats {
namespace {

Dispersion against(const Summary& summary, double expected_variance) {
  Dispersion result;
  result.df = static_cast<double>(summary.n - 1);
  result.ratio = summary.variance / expected_variance;
  result.chi_squared = result.ratio * result.df;
  result.p_over = chi_squared_upper(result.chi_squared, result.df);
  result.p_under = chi_squared_cdf(result.chi_squared, result.df);
  return result;
}

}  // namespace

Result<Dispersion> poisson_dispersion(std::span<const double> counts) {
  if (auto error = check_counts(counts, "counts", 2)) return *error;
  const auto summary = summarize(counts);
  if (!(summary->mean > 0)) return out_of_range("counts", 0, "a sum above 0");
  Dispersion result = against(*summary, summary->mean);
  result.mean_crowding = summary->mean + summary->variance / summary->mean - 1;
  double pairs = 0;
  for (double x : counts) pairs += x * (x - 1);
  if (summary->sum > 1) {
    result.morisita =
        static_cast<double>(summary->n) * pairs / (summary->sum * (summary->sum - 1));
  }
  return result;
}

Result<Dispersion> binomial_dispersion(std::span<const double> counts, double size) {
  if (auto error = check_counts(counts, "counts", 2)) return *error;
  if (auto error = check_positive(size, "size")) return *error;
  const auto summary = summarize(counts);
  if (summary->max > size) return out_of_range("counts", summary->max, "at most size");
  const double p = summary->mean / size;
  if (!(p > 0 && p < 1)) return out_of_range("counts", summary->mean, "not all 0 or all full");
  return against(*summary, size * p * (1 - p));
}

}  // namespace nthtree::stats
