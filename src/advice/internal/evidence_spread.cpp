// SPDX-License-Identifier: Apache-2.0
// How counts spread about their level, how neighbours and rows are alike: the part of evidence.h
// that the verdict's variance is made of.
#include <algorithm>
#include <cmath>

#include "advice/internal/count_sums.h"
#include "advice/internal/current.h"
#include "advice/internal/evidence.h"
#include "stats/quantiles.h"

namespace nthtree::advice {
namespace {

// A person's own spread is drawn towards the block's as if that were known from this many trees.
constexpr double own_spread_df_most = 30;

}  // namespace

void SpreadSums::add(const SpreadSums& other) {
  squares += other.squares;
  df += other.df;
  limb_squares += other.limb_squares;
  products += other.products;
  pairs += other.pairs;
  row_squares += other.row_squares;
  row_df += other.row_df;
  rows_squares += other.rows_squares;
  rows_df += other.rows_df;
  rows_counts += other.rows_counts;
  bare += other.bare;
  counts += other.counts;
}

void SpreadSums::weaken(double df_most) {
  if (df <= df_most) return;
  const double kept = df_most / df;
  squares *= kept;
  df = df_most;
  // Neighbours, rows and bare trees elsewhere say nothing of those here.
  const double kept_squares = squares, kept_df = df;
  *this = {};
  squares = kept_squares;
  df = kept_df;
}

namespace {

// A sign believed in whole from two standard deviations beyond chance, not at all below one: most
// blocks have no such thing, and believing chance makes every verdict later.
double belief(double sds) { return std::clamp(sds - 1, 0.0, 1.0); }

// Of trees that follow each other. What limbs left out put into counts is no likeness of trees: it
// is part of the chance that r must stand out of, and no part of the variance that is alike.
double autocorrelation_of(const SpreadSums& block, double tree_variance) {
  const double variance = (block.squares + block.limb_squares) / std::max(1.0, block.df);
  if (block.pairs <= 3 || variance <= 0) return 0;
  // Residuals about a mean of their own lean against each other: one product a mean is missing.
  const double r = block.products / (block.pairs * variance) + 1 / (block.pairs + 1);
  // By chance alone r scatters by 1 / sqrt(pairs).
  const double believed = r * belief(r * std::sqrt(block.pairs));
  const double of_trees = block.limb_squares > 0 ? variance / std::min(variance, tree_variance) : 1;
  return std::clamp(believed * of_trees, 0.0, 0.7);
}

// Share of the variance between rows: the estimate of the analysis of variance (S. R. Searle,
// Linear Models, 1971, sec. 9.9), as far as its F is beyond chance.
void compare_rows(const SpreadSums& block, Spread& spread) {
  spread.rows_df = block.rows_df;
  if (block.rows_df < 1 || block.row_df < 4 || block.row_squares <= 0) return;
  const double f =
      (block.rows_squares / block.rows_df) / (block.row_squares / block.row_df);
  spread.row_doubt = 1 - stats::f_cdf(f, block.rows_df, block.row_df);
  if (f <= 1) return;
  const double counts = block.rows_counts / block.rows_df;
  const double sds = -stats::normal_quantile(std::max(1e-12, spread.row_doubt));
  spread.row_share = belief(sds) * (f - 1) / (f - 1 + counts);
}

}  // namespace

Spread block_spread(const SpreadSums& block) {
  Spread spread;
  spread.df = prior_spread_df + block.df;
  // What limbs left out are expected to add may by chance be more than was met.
  const double squares = std::max(block.squares, 0.0);
  spread.variance =
      (prior_spread_df * prior_spread_cv * prior_spread_cv + squares) / spread.df;
  spread.autocorrelation = autocorrelation_of(block, spread.variance);
  spread.pairs = block.pairs;
  compare_rows(block, spread);
  if (block.counts > 0) spread.bare_share = block.bare / block.counts;
  return spread;
}

double weight_of_block(const Spread& block) { return std::min(own_spread_df_most, block.df); }

Spread person_spread(const CountSums& person, const Spread& block) {
  Spread spread = block;
  spread.counts_a_row = person.counts_a_row();
  spread.rows_seen = static_cast<double>(person.counts()) / spread.counts_a_row;
  const double weight = weight_of_block(block);
  const SpreadSums& own = person.spread();
  const double squares = std::max(own.squares, 0.0);
  spread.variance = (weight * block.variance + squares) / (weight + own.df);
  spread.df = weight + own.df;
  return spread;
}

}  // namespace nthtree::advice
