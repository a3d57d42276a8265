// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/acceptance.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "advice/internal/current.h"
#include "advice/internal/day_parts.h"
#include "stats/equivalence.h"
#include "stats/quantiles.h"

namespace nthtree::advice {
namespace {

constexpr int counts_needed = 6;
constexpr double level = 0.05;           // of each one-sided test

// What the unpruned trees carry; 0 where nobody counted any.
double unpruned_mean(const ledger::BlockSeason& block, std::int64_t cut_ms) {
  double sum = 0, n = 0;
  for_current(block.before_counts, cut_ms, [&](const auto& entry) {
    sum += entry.body.spurs;
    n += 1;
  });
  return n > 0 ? sum / n : 0;
}

double share_beyond(double log_mean, const Standing& block, double edge, bool above) {
  // A tree's own logarithm lies half a variance below that of the mean.
  const double sd = std::max(1e-6, block.tree_log_sd);
  const double z = (edge - (log_mean - sd * sd / 2)) / sd;
  return above ? stats::normal_cdf(-z) : stats::normal_cdf(z);
}

void fill_shares(const Standing& block, double low, double high, Acceptance& done) {
  const LogRatio& r = block.own;
  done.share_over = share_beyond(r.mean, block, high, true);
  done.share_under = share_beyond(r.mean, block, low, false);
  done.share_out_of_band.value = done.share_over + done.share_under;
  double least = 1, most = 0;
  for (int step = -4; step <= 4; ++step) {
    const double mean = r.mean + step / 4.0 * z_90 * std::min(r.sd, 1.0);
    const double share =
        share_beyond(mean, block, high, true) + share_beyond(mean, block, low, false);
    least = std::min(least, share);
    most = std::max(most, share);
  }
  done.share_out_of_band.low = least;
  done.share_out_of_band.high = most;
}

// The two one-sided tests on the log scale, Student t.
void test_equivalence(const Standing& block, double low, double high, Acceptance& done) {
  const LogRatio& r = block.own;
  const auto test = stats::equivalence_from_estimate(r.mean, r.sd, std::max(1.0, block.tree_df),
                                                     {low, high}, level);
  if (!test) return;  // no level known yet: too few counts
  done.tost_p = test->p_value;
  if (done.counts < counts_needed) done.kind = AcceptanceKind::too_few_counts;
  else if (test->shown) done.kind = AcceptanceKind::accepted;
  else if (1 - test->p_high <= level) done.kind = AcceptanceKind::over;
  else if (1 - test->p_low <= level) done.kind = AcceptanceKind::under;
  else done.kind = AcceptanceKind::not_yet_sure;
}

void fill_rest(const BlockContext& context, Acceptance& done) {
  const Pace pace = pace_in(context);
  done.trees = pace.trees;
  done.trees_done = pace.trees_done;
  done.rest_per_tree = {-1, -1, -1};
  const double left = static_cast<double>(pace.trees_left);
  if (left <= 0) return;
  const double all = static_cast<double>(pace.trees), pruned = static_cast<double>(pace.trees_done);
  const auto rest = [&](double mean) { return (all * done.target - pruned * mean) / left; };
  done.rest_per_tree = {rest(done.mean.value), rest(done.mean.high), rest(done.mean.low)};
  const double unpruned = unpruned_mean(*context.block, context.cut_ms);
  done.rest_possible = done.rest_per_tree.value >= 0 &&
                       (unpruned <= 0 || done.rest_per_tree.value <= unpruned);
  auto& r = done.rest_per_tree;
  r = {at_least_zero(r.value), at_least_zero(r.low), at_least_zero(r.high)};
}

// A tag speaks for the trees pruned around it, so what is over there is over on a stretch.
void fill_revisit(const BlockContext& context, Acceptance& done) {
  const Cost cost = cost_in(context);
  const double trees = std::max<double>(1, static_cast<double>(done.trees));
  const double money_a_spur = cost.cost_per_spur_over / trees;
  const double walk = context.season->farm().wage_per_hour * minutes_to_walk_back / 60;
  std::map<std::int64_t, Revisit> by_tree;
  for_current(context.block->tag_counts, context.cut_ms, [&](const auto& entry) {
    const double spurs = entry.body.spurs_after_mend.value_or(entry.body.spurs) *
                         std::exp(context.bias->of(entry.author).log_mean);
    Revisit visit{context.block->id, entry.body.tree, entry.author, spurs - done.target, 0};
    visit.value = money_a_spur > 0 ? visit.over * money_a_spur - walk : visit.over;
    by_tree[tree_key(entry.body.tree)] = visit;  // the latest count of a tree stands
  });
  const double slack = done.band_high - done.target;
  for (const auto& [tree, visit] : by_tree) {
    if (visit.over > slack && visit.value > 0) done.revisit.push_back(visit);
  }
  std::sort(done.revisit.begin(), done.revisit.end(), [](const Revisit& a, const Revisit& b) {
    return a.value != b.value ? a.value > b.value : a.tree < b.tree;
  });
}

void fill_reason(Acceptance& done) {
  const auto number = [](double x) { return std::round(x); };
  switch (done.kind) {
    case AcceptanceKind::no_target: done.reason = {"no_target", {}}; return;
    case AcceptanceKind::too_few_counts:
      done.reason = {"accept_few", {{"counts", static_cast<double>(done.counts)},
                                    {"needed", static_cast<double>(counts_needed)}}};
      return;
    case AcceptanceKind::accepted: done.reason.id = "accept_yes"; break;
    case AcceptanceKind::over: done.reason.id = "accept_over"; break;
    case AcceptanceKind::under: done.reason.id = "accept_under"; break;
    case AcceptanceKind::not_yet_sure: done.reason.id = "accept_unsure"; break;
  }
  done.reason.numbers = {{"mean", number(done.mean.value)}, {"low", number(done.mean.low)},
                         {"high", number(done.mean.high)}, {"target", number(done.target)}};
}

}  // namespace

Acceptance accept_in(const BlockContext& context) {
  Acceptance done;
  const Standing& block = context.standings().block_standing;
  for (const Standing& pruner : context.standings().pruners) {
    done.counts += pruner.counts + pruner.counts_before;
    done.checks += pruner.checks + pruner.checks_before;
  }
  done.reason = {"no_target", {}};
  if (!block.has_target) return done;
  const double t = context.settings.tolerance_fraction;
  done.target = block.target.value;
  done.band_low = done.target * (1 - t);
  done.band_high = done.target * (1 + t);
  done.kind = AcceptanceKind::too_few_counts;
  if (done.counts > 0) {
    const double target_variance = block.target_log_sd * block.target_log_sd;
    const double sd = std::sqrt(at_least_zero(block.own.sd * block.own.sd - target_variance));
    const double t_quantile = stats::t_quantile(0.95, std::max(1.0, block.tree_df));
    done.mean = log_estimate(block.own.mean, sd, done.target, t_quantile);
    const double low = std::log1p(-t), high = std::log1p(t);
    test_equivalence(block, low, high, done);
    fill_shares(block, low, high, done);
    fill_rest(context, done);
    fill_revisit(context, done);
  }
  fill_reason(done);
  return done;
}

Acceptance accept_block(const ledger::Season& season, const std::string& block,
                        std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found) {
    Acceptance none;
    none.reason = {"no_target", {}};
    return none;
  }
  return accept_in(make_context(season, *found, now_ms, cut_for(season, now_ms)));
}

}  // namespace nthtree::advice
