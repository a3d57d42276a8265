// SPDX-License-Identifier: Apache-2.0
// How counts spread about their level, how neighbours and rows are alike: the part of evidence.h
// that the verdict's variance is made of.
#include <algorithm>
#include <cmath>

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

// One segment's rows, as a one-way analysis of variance: counts of one row that follow each other.
class Rows {
 public:
  void add(double e) {
    n_ += 1;
    sum_ += e;
    squares_ += e * e;
  }
  void close_row(SpreadSums& sums) {
    if (n_ >= 2) {
      sums.row_squares += at_least_zero(squares_ - sum_ * sum_ / n_);
      sums.row_df += n_ - 1;
      rows_ += 1;
      counts_ += n_;
      counts_squares_ += n_ * n_;
      total_ += sum_;
      means_squares_ += sum_ * sum_ / n_;
    }
    n_ = sum_ = squares_ = 0;
  }
  void close(SpreadSums& sums) {
    close_row(sums);
    if (rows_ < 2) return;
    sums.rows_df += rows_ - 1;
    sums.rows_squares += at_least_zero(means_squares_ - total_ * total_ / counts_);
    sums.rows_counts += counts_ - counts_squares_ / counts_;
  }

 private:
  double n_ = 0, sum_ = 0, squares_ = 0;  // of the open row
  double rows_ = 0, counts_ = 0, counts_squares_ = 0, total_ = 0, means_squares_ = 0;
};

// A count's weight in the squares: 1 for a whole tree, less where limbs were left out.
double weight_of(const CountPoint& point, double limb_variance) {
  constexpr double trees = prior_spread_cv * prior_spread_cv;
  return trees / (trees + part_variance(limb_variance, point.limbs, point.limbs_in_tree));
}

// Weighted moments of one segment: squares about the weighted mean, less what the limbs left out
// are expected to put there (R. DerSimonian and R. Kacker, Contemp. Clin. Trials 28, 2007, eq. 6,
// from memory). With whole counts alone these are the plain squares and n - 1.
struct Weights {
  double sum = 0, squares = 0, values = 0, open = 0, open_squares = 0;

  void add(double share, double weight, double variance) {
    sum += weight;
    squares += weight * weight;
    values += weight * share;
    open += weight * variance;
    open_squares += weight * weight * variance;
  }
  double mean() const { return std::max(values / sum, least_share); }
  double df() const { return sum - squares / sum; }
  double open_expected() const { return open - open_squares / sum; }
};

// Counts from … to - 1 about their mean.
void add_segment(const PersonEvidence& person, std::size_t from, std::size_t to, double factor,
                 double limb_variance, const Weights& weights, SpreadSums& sums) {
  Rows rows;
  int last_row = 0;
  double before = 0, n = 0;
  for (std::size_t i = from; i < to; ++i) {
    const CountPoint& point = person.counts[i];
    if (person.sets_aside(point)) continue;
    const double e = (point.share(factor) / weights.mean() - 1) *
                     std::sqrt(weight_of(point, limb_variance));
    sums.squares += e * e;
    if (n > 0) sums.products += e * before;
    if (n > 0 && point.tree.row != last_row) rows.close_row(sums);
    rows.add(e);
    last_row = point.tree.row;
    before = e;
    n += 1;
  }
  rows.close(sums);
  sums.squares -= weights.open_expected();
  sums.limb_squares += weights.open_expected();
  sums.df += weights.df();
  sums.pairs += n - 1;
}

// Counts in the row of a typical count: what a design effect is made of.
double counts_a_row(const PersonEvidence& person) {
  double squares = 0, run = 0;
  const auto& counts = person.counts;
  for (std::size_t i = 0; i < counts.size(); ++i) {
    run += 1;
    const bool ends = i + 1 == counts.size() || counts[i + 1].tree.row != counts[i].tree.row ||
                      counts[i + 1].day != counts[i].day;
    if (!ends) continue;
    squares += run * run;
    run = 0;
  }
  return counts.empty() ? 1 : squares / static_cast<double>(counts.size());
}

}  // namespace

SpreadSums spread_sums(const PersonEvidence& person, double bias_log_mean,
                       double limb_variance, std::vector<DaySpread>* days) {
  SpreadSums sums;
  const double factor = std::exp(bias_log_mean);
  const auto& counts = person.counts;
  auto next = person.advice.begin();
  for (std::size_t from = 0; from < counts.size();) {
    while (next != person.advice.end() && next->at_ms <= counts[from].at_ms) ++next;
    std::size_t to = from;
    Weights weights;
    double sum = 0, square_sum = 0, n = 0;
    for (; to < counts.size() && counts[to].day == counts[from].day; ++to) {
      if (next != person.advice.end() && counts[to].at_ms >= next->at_ms) break;
      if (person.sets_aside(counts[to])) continue;
      const double share = counts[to].share(factor);
      sum += share;
      square_sum += share * share;
      weights.add(share, weight_of(counts[to], limb_variance),
                  part_variance(limb_variance, counts[to].limbs, counts[to].limbs_in_tree));
      n += 1;
    }
    sums.counts += static_cast<double>(to - from);
    sums.bare += static_cast<double>(to - from) - n;
    if (n >= 2) {
      const double before = sums.squares;
      add_segment(person, from, to, factor, limb_variance, weights, sums);
      if (days) {
        days->push_back({counts[from].day, static_cast<int>(n), sum, square_sum,
                         sums.squares - before});
      }
    }
    from = to;
  }
  return sums;
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

Spread person_spread(const PersonEvidence& evidence, const SpreadSums& person,
                     const Spread& block) {
  Spread spread = block;
  spread.counts_a_row = counts_a_row(evidence);
  spread.rows_seen = static_cast<double>(evidence.counts.size()) / spread.counts_a_row;
  const double weight = weight_of_block(block);
  const double squares = std::max(person.squares, 0.0);
  spread.variance = (weight * block.variance + squares) / (weight + person.df);
  spread.df = weight + person.df;
  return spread;
}

}  // namespace nthtree::advice
