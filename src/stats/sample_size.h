// SPDX-License-Identifier: Apache-2.0
//
// How many values, trials or clusters a wanted precision needs.
//
// Planning formulas: they take the spread as known. Numbers come back unrounded where the formula
// gives a fraction (round up with whole_units) and whole where they are iterated. Sources: Cochran,
// Sampling Techniques, 3rd ed. 1977, ch. 4 (from memory); Bennett et al. (1991) World Health Stat.
// Q. 44:98 for clusters; Machin et al., Sample Size Tables for Clinical Studies, 3rd ed. 2009, and
// Chow, Shao and Wang, Sample Size Calculations in Clinical Research, 2nd ed. 2008, for
// equivalence.
//
//   auto n = sample_size_for_mean(0.25, 0.10);            // 27 at a cv of 25 %, ±10 %
//   double clusters = *sample_size_for_proportion(0.2, 0.05) * design_effect(0.02, 20) / 20;
#pragma once

#include <cstddef>
#include <limits>

#include "stats/interval.h"

namespace nthtree::stats {

constexpr std::size_t sample_size_max = 10'000'000;

// Smallest n >= 2 whose t interval has a relative half-width of at most `relative`:
// t(n-1) cv √((1 - n/N)/n) <= relative. cv > 0, relative > 0, population >= 2 or infinite (all
// units are enough at most). Errors: out_of_range.
Result<std::size_t> sample_size_for_mean(
    double cv, double relative, double confidence = 0.95,
    double population = std::numeric_limits<double>::infinity());
// The same with z for t, unrounded: (z cv / relative)².
Result<double> sample_size_for_mean_normal(double cv, double relative, double confidence = 0.95);

// z² p (1-p) / half_width², 0 < p < 1, half_width absolute.
Result<double> sample_size_for_proportion(double p, double half_width, double confidence = 0.95);

// Finite population: n0 / (1 + n0/N) for means, n0 / (1 + (n0 - 1)/N) for proportions.
double corrected_for_population(double n0, double population);
double corrected_for_population_proportion(double n0, double population);

// 1 + (b - 1) rho for clusters of b trials; with sizes of mean b and standard deviation size_sd,
// 1 + ((size_cv² + 1) b - 1) rho.
double design_effect(double rho, double trials_per_cluster, double size_sd = 0);

// Per group, to show that two means lie within ±bound of each other when their true difference
// is `difference` (|difference| < bound), by two one-sided tests at alpha; normal approximation
// (z_{1-alpha} + z_{1-beta/2})² 2 sd² / (bound - |difference|)².
Result<double> sample_size_for_equivalence(double difference, double sd, double bound,
                                           double alpha = 0.05, double power = 0.80);
// Power of the same with n per group, at least 0:
// 2 Φ(√(n (bound - |difference|)² / (2 sd²)) - z_{1-alpha}) - 1.
Result<double> equivalence_power(double difference, double sd, double bound, double n,
                                 double alpha = 0.05);

// Smallest whole number not below n, forgiving rounding in the last digits.
std::size_t whole_units(double n);

}  // namespace nthtree::stats
