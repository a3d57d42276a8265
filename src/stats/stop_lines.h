// SPDX-License-Identifier: Apache-2.0
//
// Fixed-precision stop lines for counts: how large the running total must be before the mean is
// known to a relative standard error of D, when variance and mean are tied by a known law.
//
// A total at or above the line at n stops the sampling. They estimate, they do not decide against a
// target. Sources, from memory: Green (1970) Res. Popul.
// Ecol. 12:249 (Taylor's s² = a m^b); Kuno (1969) Res. Popul. Ecol. 11:127 (Iwao's s² = (α+1) m +
// (β-1) m²); the negative binomial with common k is the case α = 0, β = 1 + 1/k.
//
//   auto total = green_stop_line(2.5, 1.4, 0.10, 20);   // 1346.5
#pragma once

#include <cstddef>
#include <span>

#include "stats/interval.h"

namespace nthtree::stats {

// a > 0, b other than 2 (at b = 2 the needed n does not depend on the total), precision D > 0,
// n >= 1. Errors: out_of_range.
Result<double> green_stop_line(double a, double b, double precision, double n);
// alpha > -1; valid for n > (beta - 1) / D²: below it no total suffices, which is an error.
Result<double> kuno_stop_line(double alpha, double beta, double precision, double n);
Result<double> negative_binomial_stop_line(double k, double precision, double n);

// Values needed for a relative standard error D at a known mean (> 0), not rounded.
Result<double> taylor_sample_size(double a, double b, double mean, double precision);
Result<double> negative_binomial_sample_size(double mean, double k, double precision);

struct TaylorLaw {
  double a = 1;
  double b = 1;
};
// Least squares of ln variance on ln mean over groups; two groups with means and variances above 0
// and unlike means at least (others are left out).
Result<TaylorLaw> fit_taylor_law(std::span<const double> means,
                                 std::span<const double> variances);

struct IwaoLaw {
  double alpha = 0;
  double beta = 1;
};
// Least squares of mean crowding m + s²/m - 1 on the mean over groups (Iwao 1968, Res. Popul. Ecol.
// 10:1, from memory), so that s² = (α+1) m + (β-1) m². Groups as for Taylor's law.
Result<IwaoLaw> fit_iwao_law(std::span<const double> means, std::span<const double> variances);

}  // namespace nthtree::stats
