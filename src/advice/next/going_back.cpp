// SPDX-License-Identifier: Apache-2.0
#include "advice/next/going_back.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "advice/internal/context.h"
#include "advice/internal/current.h"
#include "advice/internal/day_parts.h"
#include "advice/internal/drift_model.h"
#include "base/clock.h"
#include "base/text.h"
#include "stats/quantiles.h"

namespace nthtree::advice {
namespace {

// To the next tree and round it (common practice, no source).
constexpr double walk_minutes_per_tree = 0.5;
// A tree of some 250 spurs takes five minutes to count (common practice, no source).
constexpr double count_minutes_before_any = 5;
// Unpruned trees carry this many times what is left, before any was counted (common practice).
constexpr double unpruned_times_target = 2.2;
constexpr int looks_most = 20;
// What the pace tells of a spur's minutes weighs as much as so many spurs taken off under the
// clock, a handful of trees (a choice of ours); longer than half an hour was a break.
constexpr double mended_spurs_before_any = 150;
constexpr int mend_seconds_most = 1800;
// Surer than this, either way, nobody is sent to look first.
constexpr double open_chance = 0.1;

struct Prices {
  double minutes_per_spur = 0;    // to take one off
  double wage_per_minute = 0;     // 0 where the farm has set none
  double later_per_spur = 0;      // of one spur too many on a tree; 1 where no rates are known
  double short_per_spur = 0;      // of one too few
  double count_minutes = 0;       // to count one tree
  int mended_trees = 0;           // that the minutes were learnt from
  bool known = false;
};

double mean_seconds(const ledger::BlockSeason& block, std::int64_t cut_ms) {
  double seconds = 0, counts = 0;
  for_current(block.tag_counts, cut_ms, [&](const auto& entry) {
    if (entry.body.seconds <= 0) return;
    seconds += entry.body.seconds;
    ++counts;
  });
  return counts > 0 ? seconds / counts : count_minutes_before_any * 60;
}

// Before any mend, what a spur costs to take off is told by the pruning itself: minutes a tree ÷
// spurs removed.
double minutes_by_pace(const BlockContext& context, const Pace& pace) {
  const double target = context.here->target_spurs;
  double before = 0, trees = 0;
  for_current(context.block->before_counts, context.cut_ms, [&](const auto& entry) {
    before += entry.body.spurs;
    ++trees;
  });
  const double unpruned = trees > 0 ? before / trees : unpruned_times_target * target;
  const double removed = std::max(unpruned - target, 0.2 * target);
  return 60 / std::max(1.0, pace.trees_per_hour.value) / removed;
}

struct Mends {
  int trees = 0;
  double minutes = 0, spurs = 0;
};

Mends mends_in(const BlockContext& context) {
  Mends mends;
  for_current(context.block->tag_counts, context.cut_ms, [&](const auto& entry) {
    const int after = entry.body.spurs_after_mend.value_or(entry.body.spurs);
    const int seconds = entry.body.mend_seconds.value_or(0);
    if (seconds <= 0 || seconds > mend_seconds_most || after >= entry.body.spurs) return;
    ++mends.trees;
    mends.minutes += seconds / 60.0;
    mends.spurs += entry.body.spurs - after;
  });
  return mends;
}

// The ratio of sums, drawn towards what the pace tells.
double minutes_per_spur(const Mends& mends, double by_pace) {
  return (mended_spurs_before_any * by_pace + mends.minutes) /
         (mended_spurs_before_any + mends.spurs);
}

Prices prices_in(const BlockContext& context) {
  const ledger::FarmSettings& farm = context.season->farm();
  const Cost cost = cost_in(context);
  const double trees = std::max(1.0, static_cast<double>(context.planting().bearing()));
  Prices prices;
  const Mends mends = mends_in(context);
  prices.minutes_per_spur =
      minutes_per_spur(mends, minutes_by_pace(context, pace_in(context)));
  prices.mended_trees = mends.trees;
  prices.wage_per_minute = farm.wage_per_hour / 60;
  prices.later_per_spur =
      cost.cost_per_spur_over / trees + farm.crowding_cost_per_1000_spurs / 1000;
  prices.short_per_spur = cost.cost_per_spur_short / trees;
  prices.count_minutes = mean_seconds(*context.block, context.cut_ms) / 60;
  prices.known = farm.wage_per_hour > 0 && prices.later_per_spur > 0;
  return prices;
}

// Moments at which this person's work changed here, in order.
std::vector<std::int64_t> changes_of(const BlockContext& context, const std::string& person) {
  std::vector<std::int64_t> moments;
  const auto evidence = context.here->people.find(person);
  if (evidence == context.here->people.end()) return moments;
  for (const AdvicePoint& told : evidence->second.advice) moments.push_back(told.at_ms);
  const Drift drift = drift_in(context, person);
  if (drift.level.alarm) moments.push_back(drift.level.began_ms);
  std::sort(moments.begin(), moments.end());
  return moments;
}

std::size_t segment_of(const std::vector<std::int64_t>& changes, std::int64_t at_ms) {
  return static_cast<std::size_t>(
      std::upper_bound(changes.begin(), changes.end(), at_ms) - changes.begin());
}

// A row's counts say better than its end when it was worked in.
std::int64_t moment_worked(const PersonEvidence* evidence, const RowPart& part) {
  if (!evidence) return part.at_ms;
  for (const CountPoint& count : evidence->counts) {
    if (count.tree.row == part.row && count.tree.tree >= part.first_tree &&
        count.tree.tree <= part.last_tree) {
      return count.at_ms;
    }
  }
  return part.at_ms;
}

void add_part(Stretch& stretch, const RowPart& part, std::int64_t worked_ms) {
  if (stretch.rows.empty() || stretch.rows.back() != part.row) stretch.rows.push_back(part.row);
  stretch.parts.push_back(part);
  stretch.trees += part.trees;
  stretch.from_ms = stretch.from_ms == 0 ? worked_ms : std::min(stretch.from_ms, worked_ms);
  stretch.to_ms = std::max(stretch.to_ms, worked_ms);
  stretch.inferred = stretch.inferred || part.inferred;
}

struct Belief {
  double mean = 0, sd = 1;  // of spurs over target on a tree
};

// The counts of one segment, drawn towards the crew's level; what is shared by all of a person's
// counts (target, counting) comes on top.
Belief believe(const BlockContext& context, Stretch& stretch,
               const std::vector<std::int64_t>& changes, std::size_t segment) {
  const Standing& crew = context.standings().crew;
  const Standing own = context.standing_of(stretch.person);
  const double factor = std::exp(context.bias->of(stretch.person).log_mean);
  double shares = 0;
  const auto evidence = context.here->people.find(stretch.person);
  if (evidence != context.here->people.end()) {
    for (const CountPoint& count : evidence->second.counts) {
      if (segment_of(changes, count.at_ms) != segment) continue;
      if (evidence->second.sets_aside(count)) continue;
      shares += count.share(factor);
      ++stretch.counts;
    }
  }
  const double tree_sd = own.tree_log_sd;
  const double prior = 1 / (crew.log_ratio.sd * crew.log_ratio.sd);
  const double weight = stretch.counts / (tree_sd * tree_sd);
  const double told =
      stretch.counts > 0 ? std::log(std::max(shares / stretch.counts, least_share)) : 0;
  const double mean = (crew.log_ratio.mean * prior + told * weight) / (prior + weight);
  const double sd = std::sqrt(1 / (prior + weight) + own.shared_log_sd * own.shared_log_sd);
  const double target = context.here->target_spurs;
  stretch.spurs_per_tree = log_estimate(mean, sd, target);
  stretch.over_target = {stretch.spurs_per_tree.value - target,
                         stretch.spurs_per_tree.low - target,
                         stretch.spurs_per_tree.high - target};
  const double band = context.settings.tolerance_fraction;
  stretch.chance_over = stats::normal_cdf((mean - std::log1p(band)) / sd);
  stretch.chance_under = stats::normal_cdf((std::log1p(-band) - mean) / sd);
  const double one_tree_sd = std::sqrt(sd * sd + tree_sd * tree_sd);
  stretch.share_over = stats::normal_cdf((mean - std::log1p(band)) / one_tree_sd);
  stretch.share_under = stats::normal_cdf((std::log1p(-band) - mean) / one_tree_sd);
  return {stretch.over_target.value, stretch.spurs_per_tree.value * sd};
}

void weigh_short(const Prices& prices, const Belief& belief, Stretch& stretch) {
  stretch.what = stretch.chance_under > 0.5 ? Back::too_few : Back::leave;
  if (stretch.what == Back::too_few) {
    stretch.cost_later = -belief.mean * prices.short_per_spur * stretch.trees;
    stretch.reasons.push_back({"back_short", {{"short", -belief.mean}}});
  }
}

// gain a tree = over (later - now) - walk, linear in what is over.
void weigh(const Prices& prices, double tree_spurs_sd, const Belief& belief, Stretch& stretch) {
  const double minutes =
      walk_minutes_per_tree + std::max(0.0, belief.mean) * prices.minutes_per_spur;
  stretch.minutes_per_tree = minutes;
  stretch.mended_trees = prices.mended_trees;
  stretch.hours = minutes * stretch.trees / 60;
  const double later = prices.known ? prices.later_per_spur : 1;
  const double now = prices.known ? prices.minutes_per_spur * prices.wage_per_minute : 0;
  const double walk = prices.known ? walk_minutes_per_tree * prices.wage_per_minute : 0;
  stretch.cost_now = (std::max(0.0, belief.mean) * now + walk) * stretch.trees;
  stretch.cost_later = std::max(0.0, belief.mean) * later * stretch.trees;
  if (belief.mean <= 0) return weigh_short(prices, belief, stretch);
  stretch.gain = stretch.cost_later - stretch.cost_now;
  stretch.gain_per_hour = stretch.hours > 0 ? stretch.gain / stretch.hours : 0;
  if (later <= now) {
    stretch.reasons.push_back({"back_dear", {{"minutes", minutes}}});
    return;
  }
  const stats::LinearDecision decision{belief.mean, belief.sd, walk / (later - now),
                                       (later - now) * stretch.trees};
  stretch.chance_it_pays =
      stats::normal_cdf((decision.mean - decision.break_even) / decision.sd);
  // What lies inside the band is as it was wanted, even where going back would still pay.
  if (stretch.chance_over > 0.5 && stretch.gain > 0) stretch.what = Back::go;
  if (!prices.known) return;  // without a price of an hour no look has a price
  const double look_cost = prices.count_minutes * prices.wage_per_minute;
  stretch.looks = stats::looks_that_pay(decision, tree_spurs_sd, look_cost, looks_most);
  const bool is_open = stretch.chance_over > open_chance && stretch.chance_over < 1 - open_chance;
  if (is_open && stretch.looks.looks > 0) stretch.what = Back::look_first;
}

void say_why(Stretch& stretch) {
  if (stretch.what == Back::look_first) {
    stretch.reasons.push_back(
        {"back_look", {{"trees", static_cast<double>(stretch.looks.looks)}}});
  }
  if (stretch.over_target.value > 0) {
    stretch.reasons.push_back({"back_over", {{"over", stretch.over_target.value},
                                             {"low", stretch.over_target.low},
                                             {"high", stretch.over_target.high}}});
  }
  if (stretch.what == Back::go) {
    stretch.reasons.push_back({"back_pays", {{"chance", stretch.chance_it_pays}}});
  }
  stretch.reasons.push_back({"back_counts", {{"counts", static_cast<double>(stretch.counts)}}});
  if (stretch.inferred) stretch.reasons.push_back({"back_inferred", {}});
  if (stretch.reasons.size() > 3) stretch.reasons.resize(3);
}

std::vector<Stretch> stretches_of(const BlockContext& context) {
  const std::string& id = context.block->id;
  std::map<std::string, std::vector<std::int64_t>> changes;
  std::map<std::pair<std::string, std::size_t>, Stretch> found;
  for (const RowPart& part : context.rows().parts) {
    const auto [moments, is_new] = changes.try_emplace(part.person);
    if (is_new) moments->second = changes_of(context, part.person);
    const auto evidence = context.here->people.find(part.person);
    const std::int64_t worked_ms =
        moment_worked(evidence == context.here->people.end() ? nullptr : &evidence->second, part);
    const auto key = std::pair(part.person, segment_of(moments->second, worked_ms));
    Stretch& stretch = found[key];
    stretch.block = id;
    stretch.person = part.person;
    add_part(stretch, part, worked_ms);
  }
  const Prices prices = prices_in(context);
  std::vector<Stretch> all;
  for (auto& [key, stretch] : found) {
    const Belief belief = believe(context, stretch, changes[key.first], key.second);
    const double tree_sd = context.standing_of(key.first).tree_log_sd;
    weigh(prices, stretch.spurs_per_tree.value * tree_sd, belief, stretch);
    say_why(stretch);
    all.push_back(std::move(stretch));
  }
  return all;
}

int rank(Back what) {
  switch (what) {
    case Back::go: return 0;
    case Back::look_first: return 1;
    case Back::too_few: return 2;
    default: return 3;
  }
}

void put_in_order(std::vector<Stretch>& stretches) {
  std::stable_sort(stretches.begin(), stretches.end(), [](const Stretch& a, const Stretch& b) {
    if (rank(a.what) != rank(b.what)) return rank(a.what) < rank(b.what);
    return a.gain_per_hour > b.gain_per_hour;
  });
}

// Person-hours that are left in a block once the pruning itself is done.
struct HoursLeft {
  double before_green_tip = stats::infinity;  // where no green tip is known
  double second_pass = 0;                     // after it, where that is allowed
};

HoursLeft hours_left(const BlockContext& context) {
  const Pace pace = pace_in(context);
  if (!pace.has_green_tip) return {};
  const std::int64_t today = context.season->day_of(context.now_ms);
  const auto hours_in = [&](std::int64_t from_day, std::int64_t to_day) {
    return static_cast<double>(std::max<std::int64_t>(0, to_day - from_day)) *
           context.season->farm().hours_per_day * std::max(1.0, pace.people);
  };
  // What the pruning does not leave before green tip it takes from the second pass.
  const double to_spare = hours_in(today, pace.green_tip_day) - pace.hours_left.value;
  HoursLeft left;
  left.before_green_tip = std::max(0.0, to_spare);
  std::int64_t until_ms = 0;
  if (!base::parse_iso(context.block->block->second_pass_until, until_ms)) return left;
  const double after = hours_in(std::max(today, pace.green_tip_day), until_ms / base::day_ms);
  left.second_pass = std::max(0.0, after + std::min(0.0, to_spare));
  return left;
}

// In their order, each into the first part that still has the hours for it.
void cut_at_hours_left(const BlockContext& context, std::vector<Stretch>& stretches) {
  HoursLeft left = hours_left(context);
  for (Stretch& stretch : stretches) {
    if (stretch.what != Back::go && stretch.what != Back::look_first) continue;
    stretch.in_second_pass =
        stretch.hours > left.before_green_tip && stretch.hours <= left.second_pass;
    stretch.in_time = stretch.in_second_pass || stretch.hours <= left.before_green_tip;
    if (stretch.in_time) {
      (stretch.in_second_pass ? left.second_pass : left.before_green_tip) -= stretch.hours;
    }
    if (stretch.in_time && !stretch.in_second_pass) continue;
    const char* why = stretch.in_time ? "back_second_pass" : "back_late";
    stretch.reasons.insert(stretch.reasons.begin(), Reason{why, {}});
    if (stretch.reasons.size() > 3) stretch.reasons.resize(3);
  }
}

}  // namespace

std::vector<Stretch> stretches_in(const ledger::Season& season, const std::string& block,
                                  std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found || !found->block) return {};
  const BlockContext context = make_context(season, *found, now_ms, cut_for(season, now_ms));
  if (!context.here->has_target) return {};
  std::vector<Stretch> stretches = stretches_of(context);
  put_in_order(stretches);
  cut_at_hours_left(context, stretches);
  return stretches;
}

GoingBack going_back(const ledger::Season& season, std::int64_t now_ms) {
  GoingBack back;
  const ledger::FarmSettings& farm = season.farm();
  back.has_rates = farm.wage_per_hour > 0 && farm.hand_thinning_fruitlets_per_hour > 0;
  for (const auto& [id, block] : season.blocks()) {
    for (Stretch& stretch : stretches_in(season, id, now_ms)) {
      back.stretches.push_back(std::move(stretch));
    }
  }
  put_in_order(back.stretches);
  return back;
}

}  // namespace nthtree::advice
