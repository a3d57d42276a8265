// SPDX-License-Identifier: Apache-2.0
//
// Systematic samples (every k-th unit from a random start): true variance where the population is
// known, estimates from one sample where it is not, and what theory says under a linear trend.
//
// The enumerated variance answers "what would this stride have done on these units"; a single
// systematic sample has no unbiased variance estimate, so the successive-difference form is given,
// which assumes no cycle that fits the stride.
// Sources: Cochran, Sampling Techniques, 3rd ed. 1977, ch. 8 (from memory); Wolter, Introduction to
// Variance Estimation, 2nd ed. 2007, estimator v2 (from memory).
//
//   auto truth = systematic_over_starts(population, 28);
//   if (truth) show(truth->variance, truth->variance_random, truth->ratio);
#pragma once

#include <cstddef>
#include <limits>
#include <span>
#include <vector>

#include "stats/interval.h"

namespace nthtree::stats {

struct SystematicTruth {
  std::size_t stride = 0;
  double sample_size = 0;          // mean over starts
  double variance = 0;             // of the sample mean over all starts, about the population mean
  double variance_random = 0;      // of a simple random sample as large, with correction
  double ratio = 1;                // variance / variance_random; above 1 is worse than random
  double lowest_mean = 0;
  double highest_mean = 0;
  std::vector<double> means;       // of start 1 … stride
};

// population in field order; 2 <= stride <= size / 2. Errors: too_few_values, out_of_range.
Result<SystematicTruth> systematic_over_starts(std::span<const double> population,
                                               std::size_t stride);

struct SystematicEstimate {
  std::size_t n = 0;
  double mean = 0;
  double variance_successive = 0;  // of the mean: (1-f)/n Σ(x_i - x_{i+1})² / (2(n-1))
  double variance_random = 0;      // of the mean: (1-f) s²/n
  double df_successive = 0;        // about (n-1)/1.5: what the differences are worth
};

// One sample in field order, n >= 2; population >= n, infinite for no correction.
Result<SystematicEstimate> systematic_estimate(
    std::span<const double> sample, double population = std::numeric_limits<double>::infinity());

// Variances of the mean under the trend y = 1, 2, …, stride * n (Cochran 1977, section 8.5).
struct TrendVariances {
  double systematic = 0;   // (k² - 1) / 12
  double random = 0;       // (k - 1)(nk + 1) / 12
  double stratified = 0;   // (k² - 1) / (12 n): one random unit from each run of k
};
TrendVariances trend_variances(std::size_t stride, std::size_t n);

// 1 - n/N; 1 for an infinite population, 0 when all were taken.
double finite_population_correction(double n, double population);

// How many different places of a row the stride ever visits, rows following each other in one
// direction: row_length / gcd(stride, row_length). row_length and stride >= 1.
std::size_t places_visited(std::size_t stride, std::size_t row_length);
// True where those are fewer than two thirds of the places that n units could have visited, the
// smaller of n and row_length: then many units stand at a place of the row already seen. A stride
// that divides the row, or is a multiple of it, always does over two rows and more. The limit is
// ours: on 224 real apple trees in rows of 28 the strides of 2 to 30 that it tells have variances
// of 0.90 to 7.42 times a random sample's, all but one above 1; the others, but for those a tree
// off the row, 0.07 to 1.34 (recomputed from Batchelor and Reed 1918).
bool visits_few_places(std::size_t stride, std::size_t row_length, std::size_t n);
// The longest stretch of neighbouring places of a row that none of the first n units sees, where
// rows follow each other in one direction and the row's ends do not meet, at the worst start. It
// also tells a stride just off the row length, which creeps along one place a row: 29 in rows of
// 28 sees 8 neighbours with 8 units, and on real trees was 1.7 times worse than random.
std::size_t longest_unseen_stretch(std::size_t stride, std::size_t row_length, std::size_t n);

}  // namespace nthtree::stats
