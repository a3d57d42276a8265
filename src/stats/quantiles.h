// SPDX-License-Identifier: Apache-2.0
//
// Distribution functions and quantiles as plain functions, over Boost.Math and one error policy.
//
// Not a general distribution library: only what the methods of this folder use. A cdf argument may
// be any number, infinite too; a probability must lie in [0, 1] (0 and 1 give the ends of the
// support, infinite where the support is). Parameters out of their range are a mistake of the
// caller and stop the program: methods that take user data check it first and return an Error.
//
//   double t = t_quantile(0.975, 9);             // 2.262157163
//   double p = 2 * t_cdf(-std::fabs(t), 9);      // 0.05
//   double z = normal_quantile(0.975);           // 1.959963985
#pragma once

#include <cstdint>

namespace nthtree::stats {

double normal_cdf(double z);
double normal_density(double z);
double normal_quantile(double probability);

// df > 0, infinite allowed (then the normal distribution).
double t_cdf(double t, double df);
double t_quantile(double probability, double df);
// P(T <= t) where T has df > 0 and noncentrality delta (finite).
double noncentral_t_cdf(double t, double df, double delta);

double chi_squared_cdf(double x, double df);        // df > 0
double chi_squared_upper(double x, double df);      // 1 - cdf without cancellation
double chi_squared_quantile(double probability, double df);

double f_cdf(double x, double df1, double df2);     // df1, df2 > 0
double f_upper(double x, double df1, double df2);
double f_quantile(double probability, double df1, double df2);

double beta_cdf(double x, double a, double b);      // a, b > 0
double beta_quantile(double probability, double a, double b);


// P(X <= successes) of `trials` >= 0 at probability in [0, 1].
double binomial_cdf(std::int64_t successes, std::int64_t trials, double probability);
// Smallest x with P(X <= x) >= level.

double poisson_mass(std::int64_t count, double mean);    // mean >= 0
double poisson_cdf(std::int64_t count, double mean);
std::int64_t poisson_quantile(double level, double mean);

// Negative binomial by mean >= 0 and dispersion k > 0 (variance = mean + mean²/k); k infinite
// is the Poisson distribution.
double negative_binomial_mass(std::int64_t count, double mean, double k);
double negative_binomial_cdf(std::int64_t count, double mean, double k);
std::int64_t negative_binomial_quantile(double level, double mean, double k);

// ln Γ(x), ψ(x), ψ'(x) for x > 0.
double log_gamma(double x);
double digamma(double x);
double trigamma(double x);

}  // namespace nthtree::stats
