// SPDX-License-Identifier: Apache-2.0
#include "stats/mean_interval.h"

#include <algorithm>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <vector>

#include "stats/policy.h"
#include "stats/quantiles.h"
#include "stats/summary.h"
#include "stats/systematic.h"

namespace nthtree::stats {
namespace {

constexpr double log_reach_max = 200;  // e^200 times the mean is open enough
constexpr double near_zero = 0.1;  // of the mean: below it a value is too small for a logarithm

Interval student(const Summary& s, double t) {
  const double half = t * s.standard_error();
  return {s.mean - half, s.mean + half};
}

// Skewness with the usual small-sample factor (Joanes and Gill 1998, G1); 0 for two values.
double adjusted_skewness(const Summary& s) {
  const double n = static_cast<double>(s.n);
  return s.n < 3 ? 0 : s.skewness * std::sqrt(n * (n - 1)) / (n - 2);
}

Interval johnson(const Summary& s, double t) {
  const double n = static_cast<double>(s.n);
  const double shift = adjusted_skewness(s) * s.sd / (6 * n);
  const Interval plain = student(s, t);
  return {plain.low + shift, plain.high + shift};
}

// Hall's g(W) = W + γW²/3 + γ²W³/27 + γ/(6n) of W = (mean - μ)/sd is near symmetric; its inverse
// is a cube root, real everywhere.
Interval hall(const Summary& s, double t) {
  const double n = static_cast<double>(s.n);
  const double skewness = s.skewness;
  if (std::fabs(skewness) < 1e-6) return student(s, t);
  const auto inverse = [&](double y) {
    return 3 / skewness * (std::cbrt(1 + skewness * (y - skewness / (6 * n))) - 1);
  };
  const double y = t / std::sqrt(n);
  return {s.mean - s.sd * inverse(y), s.mean - s.sd * inverse(-y)};
}

Interval cox(std::span<const double> values, double t) {
  std::vector<double> logs(values.size());
  for (std::size_t i = 0; i < values.size(); ++i) logs[i] = std::log(values[i]);
  const auto s = summarize(logs);
  const double n = static_cast<double>(values.size());
  const double centre = s->mean + s->variance / 2;
  const double half =
      t * std::sqrt(s->variance / n + s->variance * s->variance / (2 * (n - 1)));
  return {std::exp(centre - half), std::exp(centre + half)};
}

// Gamma sample reduced to what its likelihood needs: the mean and the mean of logarithms.
struct GammaSample {
  double n = 0;
  double mean = 0;
  double log_mean = 0;

  // Twice the log likelihood per value, profiled over the shape, at a mean of `mu`.
  // The best shape solves ln a - ψ(a) = mean/mu - 1 + ln mu - log_mean.
  double best_shape(double mu) const {
    // Rounding may take it to zero or below when values are nearly alike.
    const double wanted = std::fmax(1e-13, mean / mu - 1 + std::log(mu) - log_mean);
    const auto excess = [&](double log_shape) {
      const double shape = std::exp(log_shape);
      return log_shape - digamma(shape) - wanted;
    };
    // 1/(2a) < ln a - ψ(a) < 1/a brackets the root.
    std::uintmax_t rounds = 100;
    const auto root = boost::math::tools::toms748_solve(
        excess, std::log(0.49 / wanted), std::log(1.01 / wanted),
        boost::math::tools::eps_tolerance<double>(40), rounds, Policy());
    return std::exp((root.first + root.second) / 2);
  }
  double profile(double mu) const {
    const double a = best_shape(mu);
    return 2 * n * (a * std::log(a / mu) - log_gamma(a) + (a - 1) * log_mean - a * mean / mu);
  }
};

// The mean's profile deviance D is referred to n ln(1 + t²/(n-1)), which is exact for the normal
// family: that is what makes it hold at small n.
Interval gamma_profile(std::span<const double> values, const Summary& s, double t) {
  std::vector<double> logs(values.size());
  for (std::size_t i = 0; i < values.size(); ++i) logs[i] = std::log(values[i]);
  const GammaSample sample{static_cast<double>(s.n), s.mean,
                           exact_sum(logs) / static_cast<double>(s.n)};
  const double n = sample.n;
  const double limit = n * std::log1p(t * t / (n - 1));
  const double top = sample.profile(s.mean);
  const auto excess = [&](double log_mu) {
    return top - sample.profile(std::exp(log_mu)) - limit;
  };
  const auto end = [&](double direction) {
    const double middle = std::log(s.mean);
    double reach = std::max(1e-6, t * s.standard_error() / s.mean);
    while (excess(middle + direction * reach) < 0) {
      // Two unlike values can leave an end open for all practical purposes.
      if (reach > log_reach_max) return std::exp(middle + direction * log_reach_max);
      reach *= 1.5;
    }
    std::uintmax_t rounds = 100;
    const double a = std::min(middle, middle + direction * reach);
    const double b = std::max(middle, middle + direction * reach);
    const auto root = boost::math::tools::toms748_solve(
        excess, a, b, boost::math::tools::eps_tolerance<double>(40), rounds, Policy());
    return std::exp((root.first + root.second) / 2);
  };
  return {end(-1), end(1)};
}

}  // namespace

Result<MeanInterval> mean_interval(std::span<const double> values, MeanMethod method,
                                   double confidence, double population) {
  if (auto error = check_values(values, "values", 2)) return *error;
  if (auto error = check_confidence(confidence)) return *error;
  const double n = static_cast<double>(values.size());
  if (!(population >= n)) return out_of_range("population", population, "the sample size or more");
  const auto summary = summarize(values);
  const double correction = std::sqrt(finite_population_correction(n, population));
  MeanInterval result;
  result.n = values.size();
  result.mean = summary->mean;
  result.df = n - 1;
  result.standard_error = summary->standard_error() * correction;
  const double t = t_quantile((1 + confidence) / 2, result.df);

  const bool positive = summary->min > 0;
  if (method == MeanMethod::skewed) {
    // The gamma profile covered best of all tried on negative binomial, log-normal and normal
    // counts (tests/simulation). A value close to zero has a logarithm that would rule the whole
    // likelihood, so Hall's cubic, which has no logarithm, takes over there.
    method = summary->min > near_zero * summary->mean ? MeanMethod::gamma_profile
                                                      : MeanMethod::hall_cubic;
  }
  if (!positive && (method == MeanMethod::log_cox || method == MeanMethod::gamma_profile)) {
    return out_of_range("values", summary->min, "above 0 for this method");
  }
  // Nearly alike values have no shape to speak of, and wildly unlike ones no likelihood.
  if (summary->cv <= 1e-6 || summary->max > 1e6 * summary->mean) method = MeanMethod::student_t;
  switch (method) {
    case MeanMethod::student_t: result.interval = student(*summary, t); break;
    case MeanMethod::johnson_t: result.interval = johnson(*summary, t); break;
    case MeanMethod::hall_cubic: result.interval = hall(*summary, t); break;
    case MeanMethod::log_cox: result.interval = cox(values, t); break;
    case MeanMethod::skewed:
    case MeanMethod::gamma_profile:
      result.interval = gamma_profile(values, *summary, t);
      break;
  }
  // The correction shrinks both arms alike.
  result.interval.low = result.mean - correction * (result.mean - result.interval.low);
  result.interval.high = result.mean + correction * (result.interval.high - result.mean);
  return result;
}

Result<Interval> mean_interval_from_summary(double mean, double sd, std::size_t n,
                                            double confidence) {
  if (!std::isfinite(mean)) return not_finite("mean", 0);
  if (!(sd >= 0) || std::isinf(sd)) return out_of_range("sd", sd, "zero or more");
  if (n < 2) return too_few("n", n, 2);
  if (auto error = check_confidence(confidence)) return *error;
  const double size = static_cast<double>(n);
  const double half = t_quantile((1 + confidence) / 2, size - 1) * sd / std::sqrt(size);
  return Interval{mean - half, mean + half};
}

}  // namespace nthtree::stats
