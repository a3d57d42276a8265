// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/drift.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "advice/internal/drift_model.h"
#include "stats/quantiles.h"

namespace nthtree::advice {
namespace {

constexpr double step_to_find = 0.15;       // of the level
constexpr double smoothing = 0.2;           // of the line for the eye
// The spread chart looks for half as much spread again; log-likelihood CUSUM, so e^-h bounds the
// chance of an alarm per start.
constexpr double spread_ratio = 1.5, spread_limit = 6.0;
constexpr double spread_prior_counts = 10;  // the usual spread, known as if from ten counts
// The counting chart looks for 15 % in the ratio; single pairs scatter by no more than 12 % unless
// the ratio itself moved.
constexpr double ratio_step = 0.15, ratio_sd_most = 0.12;
constexpr double ratio_run_length = 200;
constexpr int ratio_head = 3;

struct Charts {
  double spread = 0, run_squares = 0, known_squares = 0, known = 0;
  int spread_run = 0;
  void restart_spread() { *this = {}; }
};

void raise(DriftAlarm& alarm, const Drift& drift, int run, double change) {
  const int last = static_cast<int>(drift.points.size()) - 1;
  alarm.alarm = true;
  alarm.alarm_ms = drift.points.back().at_ms;
  alarm.began_index = std::max(0, last - run + 1);
  alarm.began_ms = drift.points[static_cast<std::size_t>(alarm.began_index)].at_ms;
  alarm.change = change;
}

void forget_old(const Drift& drift, DriftAlarm& alarm) {
  if (!alarm.alarm) return;
  const auto since = std::count_if(drift.points.begin(), drift.points.end(),
                                   [&](const DriftPoint& p) { return p.at_ms > alarm.alarm_ms; });
  if (since > alarm_lasts_counts) alarm.alarm = false;
}

// Squares are held against those outside the present run, as the level is: a careless pruner must
// not teach the chart that carelessness is usual.
void watch_spread(double residual, Charts& charts, Drift& drift) {
  const double usual = (spread_prior_counts + charts.known_squares) /
                       (spread_prior_counts + charts.known);
  const double square = std::min(residual * residual / usual, 12.0);
  const double gain = square / 2 * (1 - 1 / (spread_ratio * spread_ratio)) -
                      std::log(spread_ratio);
  charts.spread = std::max(0.0, charts.spread + gain);
  charts.spread_run += 1;
  charts.run_squares += square * usual;
  if (charts.spread <= 0) {
    charts.known_squares += charts.run_squares;
    charts.known += charts.spread_run;
    charts.spread_run = 0;
    charts.run_squares = 0;
  }
  if (charts.spread > spread_limit) {
    raise(drift.spread, drift, charts.spread_run,
          std::sqrt(charts.run_squares / charts.spread_run / usual) - 1);
    charts.restart_spread();
  }
}

void watch_counting(const CountPoint& point, LevelChart& chart, Drift& drift) {
  if (!point.has_check()) return;
  if (chart.add(point.log_ratio())) {
    raise(drift.counting, drift, 1, std::expm1(chart.alarm().change));
  }
  drift.counting.statistic = std::max(chart.up(), chart.down());
}

// How often this crew has seen a false flag of the level in this block, on average over such crews.
double false_every_days(const BlockEvidence& block) {
  double flags = 0;
  std::set<std::int64_t> days;
  for (const auto& [person, evidence] : block.people) {
    const double counts = static_cast<double>(evidence.counts.size());
    flags += std::max(0.0, counts - counts_without_flags) / counts_between_flags;
    std::int64_t last = -1;
    for (const CountPoint& count : evidence.counts) {
      if (count.day != last) days.insert(count.day);
      last = count.day;
    }
  }
  return flags > 0 ? static_cast<double>(days.size()) / flags : 0;
}

// Did what was told last come about? Compares the level since with the level told and before.
void judge_advice(const BlockContext& context, const PersonEvidence& evidence, double bias,
                  const Spread& spread, Drift& drift) {
  const AdvicePoint* last = nullptr;
  for (const AdvicePoint& advice : evidence.advice) {
    if (advice.direction != ledger::Direction::on_target) last = &advice;
  }
  if (!last) return;
  double before = 0, since = 0, n_before = 0, n_since = 0;
  for (const CountPoint& point : evidence.counts) {
    const double y = point.share(std::exp(bias));
    (point.at_ms < last->at_ms ? before : since) += y;
    (point.at_ms < last->at_ms ? n_before : n_since) += 1;
  }
  drift.advice = AdviceOutcome::too_early;
  if (n_before > 0 && n_since > 0) {
    drift.advice_change = (since / n_since) / std::max(1e-6, before / n_before) - 1;
  }
  if (n_since < 2) return;
  const double sd = std::sqrt(spread.variance / n_since);
  const double level = std::log(std::max(0.02, since / n_since));
  const double t = context.settings.tolerance_fraction;
  const double sign = last->direction == ledger::Direction::harder ? 1 : -1;
  const double edge = sign > 0 ? std::log1p(t) : -std::log1p(-t);
  const double off = sign * level;
  const double still = stats::t_cdf((off - edge) / sd, spread.df);
  const double other = sign > 0 ? -std::log1p(-t) : std::log1p(t);
  const double over = stats::t_cdf((-other - off) / sd, spread.df);
  if (still > 0.75) drift.advice = AdviceOutcome::no_change;
  else if (over > 0.75) drift.advice = AdviceOutcome::overshot;
  else if (1 - still - over > 0.6) drift.advice = AdviceOutcome::worked;
}

}  // namespace

namespace {

// The level chart of one person, and whether the counts since its alarm bear it out. On the
// cube-root scale, where counts are nearest to normal.
class LevelWatch {
 public:
  explicit LevelWatch(double sd)
      : chart_(sd, step_to_find, level_run_length_aimed, ChartScale::of_mean) {}

  // The next point, its count already in `drift`; share: of the target.
  void add(double share, double sd, DriftPoint& point) {
    chart_.set_spread(sd);
    const double value = 3 * std::cbrt(share);
    alarm_ = chart_.add(value);
    support_.add(value);
    if (support_.refuted()) chart_.take_back();
    point.residual = chart_.residual();
    point.cusum_up = chart_.up();
    point.cusum_down = chart_.down();
  }
  void tell(Drift& drift) {
    if (support_.gone()) drift.level.alarm = false;
    if (!alarm_) return;
    raise(drift.level, drift, chart_.alarm().run, std::expm1(chart_.alarm().change));
    support_.raised(chart_);
  }
  void restart() {
    chart_.restart();
    support_ = {};
  }
  const LevelChart& chart() const { return chart_; }

 private:
  LevelChart chart_;
  AlarmSupport support_;
  bool alarm_ = false;
};

}  // namespace

Drift drift_in(const BlockContext& context, const std::string& person) {
  Drift drift;
  drift.person = person;
  drift.run_length_in_control = counts_between_flags;
  const auto found = context.here->people.find(person);
  if (found == context.here->people.end() || !context.here->has_target) return drift;
  const PersonEvidence& evidence = found->second;
  const Counter counter = context.bias->of(person);
  const Standing standing = context.standing_of(person);
  const Spread spread{standing.count_log_variance, standing.tree_df, 0};
  const std::vector<double> sds = context.spread_by_day().in_runs(person, evidence);
  LevelWatch level(sds.empty() ? prior_spread_cv : sds.front());
  drift.false_every_days = false_every_days(*context.here);
  drift.reference = level.chart().reference();
  drift.level.limit = level.chart().limit();
  drift.spread.limit = spread_limit;
  LevelChart ratios(std::min(counter.log_sd_of_one, ratio_sd_most), ratio_step,
                    ratio_run_length, ChartScale::fixed, ratio_head);
  drift.counting.limit = ratios.limit();
  Charts charts;
  auto next = evidence.advice.begin();
  double smoothed = 0;
  for (const CountPoint& count : evidence.counts) {
    DriftPoint point;
    point.at_ms = count.at_ms;
    point.tree = count.tree;
    for (; next != evidence.advice.end() && next->at_ms <= count.at_ms; ++next) {
      if (next->direction == ledger::Direction::on_target) continue;
      point.segment_begins = true;
      level.restart();
      charts.restart_spread();
      drift.level.alarm = drift.spread.alarm = false;
    }
    point.spurs = context.here->target_spurs * count.share(std::exp(counter.log_mean));
    const bool first = drift.points.empty() || point.segment_begins;
    smoothed = first ? point.spurs : smoothed + smoothing * (point.spurs - smoothed);
    point.smoothed = smoothed;
    level.add(count.share_tag, sds[drift.points.size()], point);
    drift.points.push_back(point);
    level.tell(drift);
    watch_spread(point.residual, charts, drift);
    watch_counting(count, ratios, drift);
  }
  drift.level.statistic = std::max(level.chart().up(), level.chart().down());
  drift.spread.statistic = charts.spread;
  for (DriftAlarm* alarm : {&drift.level, &drift.spread, &drift.counting}) {
    forget_old(drift, *alarm);
  }
  judge_advice(context, evidence, counter.log_mean, spread, drift);
  return drift;
}

Drift drift_of(const ledger::Season& season, const std::string& block, const std::string& person,
               std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found) return {};
  return drift_in(make_context(season, *found, now_ms, cut_for(season, now_ms)), person);
}

}  // namespace nthtree::advice
