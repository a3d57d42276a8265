// SPDX-License-Identifier: Apache-2.0
#include "stats/sequential_test.h"

#include <boost/math/tools/roots.hpp>
#include <cmath>

#include "stats/policy.h"

namespace nthtree::stats {
namespace {

std::optional<Error> check_errors(double alpha, double beta) {
  if (auto error = check_open_unit(alpha, "alpha")) return error;
  if (auto error = check_open_unit(beta, "beta")) return error;
  if (alpha + beta >= 1) return out_of_range("beta", beta, "below 1 - alpha");
  return std::nullopt;
}

// Wide enough for any count or weight, and no exponential of theirs overflows.
constexpr double mean_min = 1e-6;
constexpr double mean_max = 1e9;

std::optional<Error> check_mean(double mean, const char* name) {
  if (mean >= mean_min && mean <= mean_max) return std::nullopt;
  return out_of_range(name, mean, "from 1e-6 to 1e9");
}

Error same_means(const char* name, double value) {
  return out_of_range(name, value, "a mean unlike the first one");
}

}  // namespace

SequentialTest::SequentialTest(CountFamily family, double mean0, double mean1, double dispersion,
                               double alpha, double beta, double per_unit, double per_value)
    : family_(family), mean0_(mean0), mean1_(mean1), dispersion_(dispersion),
      per_unit_(per_unit), per_value_(per_value),
      bound_low_(std::log(beta / (1 - alpha))), bound_high_(std::log((1 - beta) / alpha)),
      slope_(per_value / per_unit) {
  // per_unit is negative when mean1 < mean0: the first mean is then accepted above.
  const double at_low = bound_low_ / per_unit_;
  const double at_high = bound_high_ / per_unit_;
  intercept_low_ = std::fmin(at_low, at_high);
  intercept_high_ = std::fmax(at_low, at_high);
}

std::optional<std::int64_t> SequentialTest::acceptance_number(std::int64_t n) const {
  const double line = lower_line(static_cast<double>(n));
  if (line < 0) return std::nullopt;
  return static_cast<std::int64_t>(std::floor(line));
}

std::int64_t SequentialTest::rejection_number(std::int64_t n) const {
  return static_cast<std::int64_t>(std::ceil(std::fmax(0, upper_line(static_cast<double>(n)))));
}

double SequentialTest::log_ratio(double n, double sum) const {
  return per_unit_ * sum - per_value_ * n;
}

SequentialDecision SequentialTest::decide(double n, double sum) const {
  NTHTREE_ASSERT(n >= 0 && std::isfinite(sum));
  if (n == 0) return SequentialDecision::go_on;
  const double ratio = log_ratio(n, sum);
  if (ratio >= bound_high_) return SequentialDecision::accept_second;
  if (ratio <= bound_low_) return SequentialDecision::accept_first;
  return SequentialDecision::go_on;
}

// ln E[exp(h z)] of one value's log ratio z = per_unit x - per_value; infinite where it diverges.
double SequentialTest::log_moment(double h, double true_mean) const {
  const double s = h * per_unit_;
  double log_mgf = 0;
  switch (family_) {
    case CountFamily::normal:
      log_mgf = s * true_mean + s * s * dispersion_ * dispersion_ / 2;
      break;
    case CountFamily::poisson:
      log_mgf = true_mean * std::expm1(s);
      break;
    case CountFamily::negative_binomial: {
      const double inside = 1 - true_mean / dispersion_ * std::expm1(s);
      if (inside <= 0) return infinity;
      log_mgf = -dispersion_ * std::log(inside);
      break;
    }
    case CountFamily::binomial:
      log_mgf = std::log1p(true_mean * std::expm1(s));
      break;
  }
  return log_mgf - h * per_value_;
}

double SequentialTest::increment_variance(double true_mean) const {
  double variance = 0;
  switch (family_) {
    case CountFamily::normal: variance = dispersion_ * dispersion_; break;
    case CountFamily::poisson: variance = true_mean; break;
    case CountFamily::negative_binomial:
      variance = true_mean + true_mean * true_mean / dispersion_;
      break;
    case CountFamily::binomial: variance = true_mean * (1 - true_mean); break;
  }
  return variance * per_unit_ * per_unit_;
}

// The h other than 0 with E[exp(h z)] = 1; it is 1 at mean0 and -1 at mean1. 0 stands for the mean
// at which z has expectation 0, where both roots meet.
double SequentialTest::wald_exponent(double true_mean) const {
  const double drift = per_unit_ * true_mean - per_value_;
  const double variance = increment_variance(true_mean);
  if (variance <= 0) return drift > 0 ? -infinity : infinity;
  const double guess = -2 * drift / variance;  // exact for the normal family
  if (std::fabs(guess) < 1e-6) return 0;
  if (family_ == CountFamily::normal) return guess;
  // ln E[exp(hz)] is convex with a root at 0: below zero between its roots. The other root lies
  // on the side of the guess.
  const auto moment = [&](double h) { return log_moment(h, true_mean); };
  double near = guess * 1e-3;
  double far = guess;
  for (int i = 0; i < 200 && !(moment(far) > 0); ++i) far *= 1.5;
  for (int i = 0; i < 60 && !(moment(near) < 0); ++i) near /= 4;
  if (!(moment(far) > 0) || !(moment(near) < 0)) return guess;
  // A divergent moment is above zero for the search, but its size would spoil the interpolation.
  for (int i = 0; i < 200 && std::isinf(moment(far)); ++i) {
    const double middle = (near + far) / 2;
    (moment(middle) < 0 ? near : far) = middle;
  }
  std::uintmax_t rounds = 200;
  const auto root = boost::math::tools::toms748_solve(
      moment, std::fmin(near, far), std::fmax(near, far),
      boost::math::tools::eps_tolerance<double>(45), rounds, Policy());
  return (root.first + root.second) / 2;
}

double SequentialTest::chance_second(double true_mean) const {
  NTHTREE_ASSERT(std::isfinite(true_mean));
  const double h = wald_exponent(true_mean);
  if (h == 0) return -bound_low_ / (bound_high_ - bound_low_);
  if (h == infinity) return 0;
  if (h == -infinity) return 1;
  // (1 - B^h) / (A^h - B^h), arranged so that neither power overflows.
  const double low = h * bound_low_;
  const double high = h * bound_high_;
  if (h > 0) return -std::expm1(low) * std::exp(-high) / -std::expm1(low - high);
  return -std::expm1(-low) / -std::expm1(high - low);
}

double SequentialTest::expected_n(double true_mean) const {
  const double p = chance_second(true_mean);
  const double drift = per_unit_ * true_mean - per_value_;
  const double variance = increment_variance(true_mean);
  if (variance > 0 && std::fabs(2 * drift / variance) < 1e-6) {
    return std::fmax(1, -bound_low_ * bound_high_ / variance);
  }
  if (drift == 0) return infinity;
  return std::fmax(1, (p * bound_high_ + (1 - p) * bound_low_) / drift);
}

Result<SequentialTest> sprt_normal(double mean0, double mean1, double sd, double alpha,
                                   double beta) {
  if (!(std::fabs(mean0) <= mean_max)) return out_of_range("mean0", mean0, "within 1e9");
  if (!(std::fabs(mean1) <= mean_max)) return out_of_range("mean1", mean1, "within 1e9");
  if (mean0 == mean1) return same_means("mean1", mean1);
  if (auto error = check_mean(sd, "sd")) return *error;
  if (auto error = check_errors(alpha, beta)) return *error;
  const double per_unit = (mean1 - mean0) / (sd * sd);
  return SequentialTest(CountFamily::normal, mean0, mean1, sd, alpha, beta, per_unit,
                        per_unit * (mean0 + mean1) / 2);
}

Result<SequentialTest> sprt_poisson(double mean0, double mean1, double alpha, double beta) {
  if (auto error = check_mean(mean0, "mean0")) return *error;
  if (auto error = check_mean(mean1, "mean1")) return *error;
  if (mean0 == mean1) return same_means("mean1", mean1);
  if (auto error = check_errors(alpha, beta)) return *error;
  return SequentialTest(CountFamily::poisson, mean0, mean1, 0, alpha, beta,
                        std::log(mean1 / mean0), mean1 - mean0);
}

Result<SequentialTest> sprt_negative_binomial(double mean0, double mean1, double k, double alpha,
                                              double beta) {
  if (auto error = check_mean(mean0, "mean0")) return *error;
  if (auto error = check_mean(mean1, "mean1")) return *error;
  if (mean0 == mean1) return same_means("mean1", mean1);
  if (std::isinf(k) && k > 0) return sprt_poisson(mean0, mean1, alpha, beta);
  if (auto error = check_mean(k, "k")) return *error;
  if (auto error = check_errors(alpha, beta)) return *error;
  return SequentialTest(CountFamily::negative_binomial, mean0, mean1, k, alpha, beta,
                        std::log(mean1 * (k + mean0) / (mean0 * (k + mean1))),
                        k * std::log((k + mean1) / (k + mean0)));
}

Result<SequentialTest> sprt_binomial(double probability0, double probability1, double alpha,
                                     double beta) {
  if (auto error = check_open_unit(probability0, "probability0")) return *error;
  if (auto error = check_open_unit(probability1, "probability1")) return *error;
  if (probability0 == probability1) return same_means("probability1", probability1);
  if (auto error = check_errors(alpha, beta)) return *error;
  return SequentialTest(
      CountFamily::binomial, probability0, probability1, 0, alpha, beta,
      std::log(probability1 * (1 - probability0) / (probability0 * (1 - probability1))),
      std::log((1 - probability0) / (1 - probability1)));
}

}  // namespace nthtree::stats
