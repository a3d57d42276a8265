// SPDX-License-Identifier: Apache-2.0
#include "stats/negative_binomial.h"

#include <algorithm>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <map>

#include "stats/policy.h"
#include "stats/quantiles.h"
#include "stats/summary.h"

namespace nthtree::stats {
namespace {

// Below this 1/k the log-gamma differences lose all digits and the fit is Poisson in any case.
constexpr double inverse_k_min = 1e-7;

// Counts repeat: each distinct value is worked out once.
using Tally = std::map<double, double>;

Tally tally_of(std::span<const double> counts) {
  Tally tally;
  for (double count : counts) tally[count] += 1;
  return tally;
}

double log_likelihood(const Tally& tally, double mean, double inverse_k) {
  if (mean <= 0) return 0;
  const bool poisson = inverse_k < inverse_k_min;
  const double k = poisson ? infinity : 1 / inverse_k;
  double sum = 0;
  for (const auto& [x, times] : tally) {
    const double one =
        poisson ? x * std::log(mean) - mean - log_gamma(x + 1)
                : log_gamma(x + k) - log_gamma(k) - log_gamma(x + 1) -
                      k * std::log1p(mean * inverse_k) +
                      (x > 0 ? x * std::log(mean / (k + mean)) : 0);
    sum += times * one;
  }
  return sum;
}

// d logL / dk with the mean at its own estimate, which is the sample mean for every k.
double score(const Tally& tally, double n, double mean, double k) {
  double sum = -n * std::log1p(mean / k);
  for (const auto& [x, times] : tally) sum += times * (digamma(x + k) - digamma(k));
  return sum;
}

// Minus the second derivative in k (observed information; the mean is orthogonal to k).
double information(const Tally& tally, double n, double mean, double k) {
  double sum = -n * mean / (k * (k + mean));
  for (const auto& [x, times] : tally) sum += times * (trigamma(k) - trigamma(x + k));
  return sum;
}

NegativeBinomialFit start(std::span<const double> counts, const Summary& summary) {
  NegativeBinomialFit fit;
  fit.n = counts.size();
  fit.mean = summary.mean;
  fit.variance = summary.variance;
  fit.k = infinity;
  return fit;
}

void finish(NegativeBinomialFit& fit, const Tally& tally, double k) {
  fit.k = k;
  fit.inverse_k = std::isfinite(k) ? 1 / k : 0;
  fit.mean_standard_error = std::sqrt(fit.fitted_variance() / static_cast<double>(fit.n));
  fit.log_likelihood = log_likelihood(tally, fit.mean, fit.inverse_k);
}

// The likelihood's root in ln k. It exists just where the variance with divisor n exceeds the mean
// (Levin and Reeds 1977, Ann. Stat. 5:79); else the likelihood rises all the way to Poisson.
double likelihood_k(const Tally& tally, double n, double mean) {
  const auto slope = [&](double log_k) { return score(tally, n, mean, std::exp(log_k)); };
  double low = std::log(mean) - 3;
  double high = std::log(mean) + 3;
  while (slope(low) < 0 && low > -30) low -= 2;
  while (slope(high) > 0) {
    high += 1;
    if (high > -std::log(inverse_k_min)) return infinity;
  }
  if (slope(low) <= 0) return std::exp(low);
  std::uintmax_t rounds = 200;
  const auto root = boost::math::tools::toms748_solve(
      slope, low, high, boost::math::tools::eps_tolerance<double>(48), rounds, Policy());
  return std::exp((root.first + root.second) / 2);
}

}  // namespace

double negative_binomial_log_likelihood(std::span<const double> counts, double mean,
                                        double inverse_k) {
  NTHTREE_ASSERT(mean >= 0 && inverse_k >= 0);
  return log_likelihood(tally_of(counts), mean, inverse_k);
}

Result<NegativeBinomialFit> fit_negative_binomial(std::span<const double> counts) {
  if (auto error = check_counts(counts, "counts", 2)) return *error;
  const auto summary = summarize(counts);
  NegativeBinomialFit fit = start(counts, *summary);
  const Tally tally = tally_of(counts);
  const double n = static_cast<double>(fit.n);
  const bool clumped = fit.mean > 0 && fit.variance * (n - 1) / n > fit.mean;
  finish(fit, tally, clumped ? likelihood_k(tally, n, fit.mean) : infinity);
  if (!fit.poisson()) {
    const double known = information(tally, n, fit.mean, fit.k);
    if (known > 0) fit.k_standard_error = 1 / std::sqrt(known);
  }
  return fit;
}

Result<NegativeBinomialFit> fit_negative_binomial_moments(std::span<const double> counts) {
  if (auto error = check_counts(counts, "counts", 2)) return *error;
  const auto summary = summarize(counts);
  NegativeBinomialFit fit = start(counts, *summary);
  const double extra = fit.variance - fit.mean;
  finish(fit, tally_of(counts), extra > 0 ? fit.mean * fit.mean / extra : infinity);
  return fit;
}

Result<NegativeBinomialFit> fit_negative_binomial_zeros(std::span<const double> counts) {
  if (auto error = check_counts(counts, "counts", 2)) return *error;
  const auto summary = summarize(counts);
  NegativeBinomialFit fit = start(counts, *summary);
  const Tally tally = tally_of(counts);
  const double zeros = tally.count(0.0) ? tally.at(0.0) : 0;
  if (zeros == 0 || fit.mean <= 0) {
    return out_of_range("counts", zeros, "some zeros and some counts above zero");
  }
  const double wanted = -std::log(zeros / static_cast<double>(fit.n));
  const auto excess = [&](double log_k) {
    const double k = std::exp(log_k);
    return k * std::log1p(fit.mean / k) - wanted;
  };
  // The left side grows with k from 0 to the mean.
  if (wanted >= fit.mean * (1 - 1e-9)) {
    finish(fit, tally, infinity);
    return fit;
  }
  double low = std::log(fit.mean) - 3;
  double high = std::log(fit.mean) + 3;
  while (excess(low) > 0 && low > -60) low -= 3;
  while (excess(high) < 0 && high < 60) high += 3;
  std::uintmax_t rounds = 200;
  const auto root = boost::math::tools::toms748_solve(
      excess, low, high, boost::math::tools::eps_tolerance<double>(48), rounds, Policy());
  finish(fit, tally, std::exp((root.first + root.second) / 2));
  return fit;
}

Result<GoodnessOfFit> goodness_of_fit(std::span<const double> counts,
                                      const NegativeBinomialFit& fit, double expected_min) {
  if (auto error = check_counts(counts, "counts", 2)) return *error;
  if (auto error = check_positive(expected_min, "expected_min")) return *error;
  for (double count : counts) {
    if (count != std::floor(count)) return out_of_range("counts", count, "a whole number");
  }
  const double n = static_cast<double>(counts.size());
  std::vector<double> sorted(counts.begin(), counts.end());
  std::sort(sorted.begin(), sorted.end());
  const auto up_to = [&](std::int64_t x) {
    return static_cast<double>(std::upper_bound(sorted.begin(), sorted.end(),
                                                static_cast<double>(x)) - sorted.begin());
  };

  GoodnessOfFit result;
  std::int64_t low = 0;
  double below = 0;  // fitted chance of counts under `low`
  while (n * (1 - below) >= 2 * expected_min) {
    // The next cell ends at the smallest count that lifts it to the wanted expectation.
    const double level = below + expected_min / n;
    if (level >= 1) break;
    const std::int64_t high =
        std::max(low, negative_binomial_quantile(level, fit.mean, fit.k));
    const double through = negative_binomial_cdf(high, fit.mean, fit.k);
    if (n * (1 - through) < expected_min) break;
    result.cells.push_back({low, high, up_to(high) - up_to(low - 1), n * (through - below)});
    low = high + 1;
    below = through;
  }
  result.cells.push_back({low, INT64_MAX, n - up_to(low - 1), n * (1 - below)});
  for (const auto& cell : result.cells) {
    if (cell.expected <= 0) continue;
    const double apart = cell.observed - cell.expected;
    result.chi_squared += apart * apart / cell.expected;
  }
  const double fitted = fit.poisson() ? 1 : 2;
  result.df = std::max(0.0, static_cast<double>(result.cells.size()) - 1 - fitted);
  if (result.df > 0) result.p_value = chi_squared_upper(result.chi_squared, result.df);
  return result;
}

}  // namespace nthtree::stats
