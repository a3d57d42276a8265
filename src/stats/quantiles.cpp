// SPDX-License-Identifier: Apache-2.0
#include "stats/quantiles.h"

#include <algorithm>
#include <boost/math/distributions/beta.hpp>
#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/negative_binomial.hpp>
#include <boost/math/distributions/non_central_t.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/poisson.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

#include "base/result.h"
#include "stats/interval.h"
#include "stats/no_initializers.h"
#include "stats/policy.h"

namespace nthtree::stats {
namespace {

namespace bm = boost::math;
using Normal = bm::normal_distribution<double, Policy>;
using StudentsT = bm::students_t_distribution<double, Policy>;
using NoncentralT = bm::non_central_t_distribution<double, Policy>;
using ChiSquared = bm::chi_squared_distribution<double, Policy>;
using FisherF = bm::fisher_f_distribution<double, Policy>;
using Beta = bm::beta_distribution<double, Policy>;
using Binomial = bm::binomial_distribution<double, Policy>;
using Poisson = bm::poisson_distribution<double, Policy>;
using NegativeBinomial = bm::negative_binomial_distribution<double, Policy>;

bool is_probability(double p) { return p >= 0 && p <= 1; }

// Above this many degrees of freedom t and normal agree to the last digit that matters, and
// Boost's own series would lose more than it gains.
constexpr double df_is_infinite = 1e12;

double unit(double p) { return std::clamp(p, 0.0, 1.0); }

std::int64_t as_count(double x) {
  return x < 9e15 ? static_cast<std::int64_t>(std::llround(x)) : INT64_C(9000000000000000);
}

// The smallest count whose cdf reaches the level, from a start that may be one or two off.
template <typename Cdf>
std::int64_t settle(std::int64_t start, double level, Cdf cdf) {
  std::int64_t count = std::max<std::int64_t>(start, 0);
  while (count > 0 && cdf(count - 1) >= level) --count;
  while (cdf(count) < level) ++count;
  return count;
}

}  // namespace

double normal_cdf(double z) {
  NTHTREE_ASSERT(!std::isnan(z));
  if (std::isinf(z)) return z > 0 ? 1 : 0;
  return unit(bm::cdf(Normal(), z));
}

double normal_density(double z) {
  NTHTREE_ASSERT(!std::isnan(z));
  if (std::isinf(z)) return 0;
  return bm::pdf(Normal(), z);
}

double normal_quantile(double probability) {
  NTHTREE_ASSERT(is_probability(probability));
  if (probability == 0) return -infinity;
  if (probability == 1) return infinity;
  return bm::quantile(Normal(), probability);
}

double t_cdf(double t, double df) {
  NTHTREE_ASSERT(!std::isnan(t) && df > 0);
  if (std::isinf(t)) return t > 0 ? 1 : 0;
  if (df > df_is_infinite) return normal_cdf(t);
  return unit(bm::cdf(StudentsT(df), t));
}

double t_quantile(double probability, double df) {
  NTHTREE_ASSERT(is_probability(probability) && df > 0);
  if (probability == 0) return -infinity;
  if (probability == 1) return infinity;
  if (df > df_is_infinite) return normal_quantile(probability);
  return bm::quantile(StudentsT(df), probability);
}

double noncentral_t_cdf(double t, double df, double delta) {
  NTHTREE_ASSERT(!std::isnan(t) && df > 0 && std::isfinite(delta));
  if (std::isinf(t)) return t > 0 ? 1 : 0;
  if (df > df_is_infinite) return normal_cdf(t - delta);
  return unit(bm::cdf(NoncentralT(df, delta), t));
}

double chi_squared_cdf(double x, double df) {
  NTHTREE_ASSERT(!std::isnan(x) && df > 0);
  if (x <= 0) return 0;
  if (std::isinf(x)) return 1;
  return unit(bm::cdf(ChiSquared(df), x));
}

double chi_squared_upper(double x, double df) {
  NTHTREE_ASSERT(!std::isnan(x) && df > 0);
  if (x <= 0) return 1;
  if (std::isinf(x)) return 0;
  return unit(bm::cdf(bm::complement(ChiSquared(df), x)));
}

double chi_squared_quantile(double probability, double df) {
  NTHTREE_ASSERT(is_probability(probability) && df > 0);
  if (probability == 0) return 0;
  if (probability == 1) return infinity;
  return bm::quantile(ChiSquared(df), probability);
}

double f_cdf(double x, double df1, double df2) {
  NTHTREE_ASSERT(!std::isnan(x) && df1 > 0 && df2 > 0);
  if (x <= 0) return 0;
  if (std::isinf(x)) return 1;
  return unit(bm::cdf(FisherF(df1, df2), x));
}

double f_upper(double x, double df1, double df2) {
  NTHTREE_ASSERT(!std::isnan(x) && df1 > 0 && df2 > 0);
  if (x <= 0) return 1;
  if (std::isinf(x)) return 0;
  return unit(bm::cdf(bm::complement(FisherF(df1, df2), x)));
}

double f_quantile(double probability, double df1, double df2) {
  NTHTREE_ASSERT(is_probability(probability) && df1 > 0 && df2 > 0);
  if (probability == 0) return 0;
  if (probability == 1) return infinity;
  return bm::quantile(FisherF(df1, df2), probability);
}

double beta_cdf(double x, double a, double b) {
  NTHTREE_ASSERT(!std::isnan(x) && a > 0 && b > 0);
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  return unit(bm::cdf(Beta(a, b), x));
}

double beta_quantile(double probability, double a, double b) {
  NTHTREE_ASSERT(is_probability(probability) && a > 0 && b > 0);
  if (probability == 0) return 0;
  if (probability == 1) return 1;
  return unit(bm::quantile(Beta(a, b), probability));
}

double binomial_cdf(std::int64_t successes, std::int64_t trials, double probability) {
  NTHTREE_ASSERT(trials >= 0 && is_probability(probability));
  if (successes < 0) return 0;
  if (successes >= trials) return 1;
  return unit(bm::cdf(Binomial(static_cast<double>(trials), probability),
                      static_cast<double>(successes)));
}

double poisson_mass(std::int64_t count, double mean) {
  NTHTREE_ASSERT(mean >= 0 && std::isfinite(mean));
  if (count < 0) return 0;
  if (mean == 0) return count == 0 ? 1 : 0;
  return bm::pdf(Poisson(mean), static_cast<double>(count));
}

double poisson_cdf(std::int64_t count, double mean) {
  NTHTREE_ASSERT(mean >= 0 && std::isfinite(mean));
  if (count < 0) return 0;
  if (mean == 0) return 1;
  return unit(bm::cdf(Poisson(mean), static_cast<double>(count)));
}

std::int64_t poisson_quantile(double level, double mean) {
  NTHTREE_ASSERT(level >= 0 && level < 1 && mean >= 0 && std::isfinite(mean));
  if (level == 0 || mean == 0) return 0;
  return settle(as_count(bm::quantile(Poisson(mean), level)), level,
                [&](std::int64_t x) { return poisson_cdf(x, mean); });
}

double negative_binomial_mass(std::int64_t count, double mean, double k) {
  NTHTREE_ASSERT(mean >= 0 && std::isfinite(mean) && k > 0);
  if (std::isinf(k)) return poisson_mass(count, mean);
  if (count < 0) return 0;
  if (mean == 0) return count == 0 ? 1 : 0;
  return bm::pdf(NegativeBinomial(k, k / (k + mean)), static_cast<double>(count));
}

double negative_binomial_cdf(std::int64_t count, double mean, double k) {
  NTHTREE_ASSERT(mean >= 0 && std::isfinite(mean) && k > 0);
  if (std::isinf(k)) return poisson_cdf(count, mean);
  if (count < 0) return 0;
  if (mean == 0) return 1;
  return unit(bm::cdf(NegativeBinomial(k, k / (k + mean)), static_cast<double>(count)));
}

std::int64_t negative_binomial_quantile(double level, double mean, double k) {
  NTHTREE_ASSERT(level >= 0 && level < 1 && mean >= 0 && std::isfinite(mean) && k > 0);
  if (std::isinf(k)) return poisson_quantile(level, mean);
  if (level == 0 || mean == 0) return 0;
  return settle(as_count(bm::quantile(NegativeBinomial(k, k / (k + mean)), level)), level,
                [&](std::int64_t x) { return negative_binomial_cdf(x, mean, k); });
}

double log_gamma(double x) {
  NTHTREE_ASSERT(x > 0);
  return bm::lgamma(x, Policy());
}

double digamma(double x) {
  NTHTREE_ASSERT(x > 0);
  return bm::digamma(x, Policy());
}

double trigamma(double x) {
  NTHTREE_ASSERT(x > 0);
  return bm::trigamma(x, Policy());
}

}  // namespace nthtree::stats
