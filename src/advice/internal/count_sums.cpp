// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/count_sums.h"

#include <algorithm>
#include <cmath>

#include "advice/internal/current.h"

namespace nthtree::advice {
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

// How the counts of a person are looked at.
struct Weighing {
  double factor = 1;  // of the bias
  double limb_variance = 0;
};

// A count's weight in the squares: 1 for a whole tree, less where limbs were left out.
double weight_of(const CountPoint& point, double limb_variance) {
  constexpr double trees = prior_spread_cv * prior_spread_cv;
  return trees / (trees + open_of(point, limb_variance));
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
void add_segment(const CountRun& run, std::size_t from, std::size_t to, const Weighing& weighing,
                 const Weights& weights, SpreadSums& sums) {
  Rows rows;
  int last_row = 0;
  double before = 0, n = 0;
  for (std::size_t i = from; i < to; ++i) {
    const CountPoint& point = run.counts[i];
    if (run.sets_aside(point)) continue;
    const double e = (point.share(weighing.factor) / weights.mean() - 1) *
                     std::sqrt(weight_of(point, weighing.limb_variance));
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

// One past the last count of the day that begins at a count.
std::size_t day_end(const CountRun& run, std::size_t from) {
  const CountPoint& first = run.counts[from];
  const auto told = std::upper_bound(
      run.advice.begin(), run.advice.end(), first.at_ms,
      [](std::int64_t at_ms, const AdvicePoint& advice) { return at_ms < advice.at_ms; });
  std::size_t to = from + 1;
  while (to < run.counts.size() && run.counts[to].day == first.day &&
         (told == run.advice.end() || run.counts[to].at_ms < told->at_ms)) {
    ++to;
  }
  return to;
}

// The spread of one day, counts from … to - 1.
void add_day(const CountRun& run, std::size_t from, std::size_t to, const Weighing& weighing,
                 SpreadSums& sums, std::vector<DaySpread>* days = nullptr) {
  Weights weights;
  double sum = 0, square_sum = 0, n = 0;
  for (std::size_t i = from; i < to; ++i) {
    const CountPoint& point = run.counts[i];
    if (run.sets_aside(point)) continue;
    const double share = point.share(weighing.factor);
    sum += share;
    square_sum += share * share;
    weights.add(share, weight_of(point, weighing.limb_variance),
                open_of(point, weighing.limb_variance));
    n += 1;
  }
  sums.counts += static_cast<double>(to - from);
  sums.bare += static_cast<double>(to - from) - n;
  if (n < 2) return;
  const double before = sums.squares;
  add_segment(run, from, to, weighing, weights, sums);
  if (days) {
    days->push_back({run.counts[from].day, static_cast<int>(n), sum, square_sum,
                     sums.squares - before});
  }
}

DayCounts day_counts(const CountRun& run, std::size_t from, std::size_t to) {
  DayCounts counted;
  counted.day = run.counts[from].day;
  counted.counts = static_cast<int>(to - from);
  for (std::size_t i = from; i < to; ++i) {
    const CountPoint& point = run.counts[i];
    counted.whole = counted.whole && point.more().limbs == 0 && !point.is_look();
    if (run.sets_aside(point)) continue;
    ++counted.used;
    counted.last_spurs = static_cast<int>(point.spurs);
    if (point.has_check()) {
      ++counted.checked;
      counted.checks += point.more().share_check;
      counted.tags += point.more().share_mended;
    } else {
      counted.tags += point.share_tag;
    }
  }
  return counted;
}

}  // namespace

SpreadSums spread_sums(const CountRun& run, double bias_log_mean, double limb_variance,
                       std::vector<DaySpread>* days) {
  SpreadSums sums;
  const Weighing weighing{std::exp(bias_log_mean), limb_variance};
  for (std::size_t from = 0; from < run.counts.size();) {
    const std::size_t to = day_end(run, from);
    add_day(run, from, to, weighing, sums, days);
    from = to;
  }
  return sums;
}

bool CountSums::fits(const CountRun& run, double bias_log_mean, double limb_variance) const {
  return taken_ <= run.counts.size() && bias_log_mean == bias_log_mean_ &&
         limb_variance == limb_variance_ && run.bare_few == bare_few_;
}

void CountSums::take(const CountRun& run, double bias_log_mean, double limb_variance) {
  if (!fits(run, bias_log_mean, limb_variance)) *this = CountSums();
  bias_log_mean_ = bias_log_mean;
  limb_variance_ = limb_variance;
  bare_few_ = run.bare_few;
  const auto& counts = run.counts;
  if (taken_ == counts.size()) return;
  for (; taken_ < counts.size(); ++taken_) {
    const CountPoint& point = counts[taken_];
    const CountPoint* before = taken_ > 0 ? &counts[taken_ - 1] : nullptr;
    rows_.add(before && before->tree.row == point.tree.row && before->day == point.day);
  }
  const Weighing weighing{std::exp(bias_log_mean), limb_variance};
  days_.resize(days_over_);
  for (;;) {
    const std::size_t to = day_end(run, closed_);
    spread_ = spread_over_;
    add_day(run, closed_, to, weighing, spread_);
    if (to == counts.size()) break;
    spread_over_ = spread_;
    days_.push_back(day_counts(run, closed_, to));
    closed_ = to;
  }
  days_over_ = days_.size();
  if (closed_ + 1 < counts.size()) days_.push_back(day_counts(run, closed_, counts.size() - 1));
}

// What a person did in another block long ago says no more than what they did there last: levels
// move overnight and from block to block, so the last counts carry nearly all the weight.
constexpr std::size_t counts_elsewhere_most = 64;

void LastSums::take(const PersonEvidence& person, double bias_log_mean, double limb_variance) {
  if (counts_ != person.counts.size()) {
    counts_ = person.counts.size();
    run_ = person.last(counts_elsewhere_most);
    sums_ = CountSums();
  }
  sums_.take(run_, bias_log_mean, limb_variance);
}

}  // namespace nthtree::advice
