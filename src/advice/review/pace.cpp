// SPDX-License-Identifier: Apache-2.0
#include "advice/review/pace.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "advice/internal/current.h"
#include "advice/internal/day_parts.h"
#include "base/clock.h"
#include "base/text.h"
#include "stats/quantiles.h"

namespace nthtree::advice {
namespace {

// Trees an hour vary from spell to spell and from pruner to pruner by about a quarter, and a tree
// takes some four minutes, before any spell is known (80 to 160 trees a day: common practice, no
// source).
constexpr double prior_cv = 0.25, prior_weight = 4;
constexpr double prior_log_rate_sd = 0.35, prior_trees_per_hour = 15;
constexpr double weather_log_sd = 0.10;  // days are not alike; shared by the whole crew

struct Spells {
  double trees = 0, hours = 0;
  std::vector<double> log_rates;
  std::set<std::int64_t> days;
};

struct Level {
  double mean = 0, variance = 0;
};

double pooled_variance(const std::map<std::string, Spells>& people) {
  double squares = prior_weight * prior_cv * prior_cv, df = prior_weight;
  for (const auto& [person, spells] : people) {
    if (spells.log_rates.size() < 2) continue;
    double mean = 0;
    for (double r : spells.log_rates) mean += r;
    mean /= static_cast<double>(spells.log_rates.size());
    for (double r : spells.log_rates) squares += (r - mean) * (r - mean);
    df += static_cast<double>(spells.log_rates.size()) - 1;
  }
  return squares / df;
}

Level crew_rate(const std::map<std::string, Spells>& people, double variance) {
  double precision = 1 / (prior_log_rate_sd * prior_log_rate_sd);
  double sum = std::log(prior_trees_per_hour) * precision;
  for (const auto& [person, spells] : people) {
    if (spells.hours <= 0 || spells.trees <= 0) continue;
    const double n = static_cast<double>(std::max<std::size_t>(1, spells.log_rates.size()));
    const double weight = 1 / (prior_cv * prior_cv + variance / n);
    precision += weight;
    sum += weight * std::log(spells.trees / spells.hours);
  }
  return {sum / precision, 1 / precision};
}

PrunerPace pace_of_one(const std::string& person, const Spells& spells, const Level& crew,
                       double variance, std::int64_t today) {
  PrunerPace pace;
  pace.person = person;
  pace.trees = static_cast<int>(spells.trees);
  pace.hours = spells.hours;
  const double prior = crew.variance + prior_cv * prior_cv;
  const double n = static_cast<double>(spells.log_rates.size());
  const double own = spells.trees > 0 && spells.hours > 0 && n > 0 ? n / variance : 0;
  const double own_rate = own > 0 ? std::log(spells.trees / spells.hours) : 0;
  const double mean = (own_rate * own + crew.mean / prior) / (own + 1 / prior);
  pace.trees_per_hour = log_estimate(mean, std::sqrt(1 / (own + 1 / prior)));
  for (std::int64_t day : spells.days) {
    if (day > today - 7 && day <= today) ++pace.active_days;
  }
  return pace;
}

bool is_finished(const ledger::BlockSeason& block, std::int64_t cut_ms) {
  bool finished = false;
  for_current(block.progress, cut_ms, [&](const auto& entry) {
    finished = entry.body.step == ledger::BlockStep::finished ||
               entry.body.step == ledger::BlockStep::accepted;
  });
  return finished;
}

void foresee(const BlockContext& context, double log_rate_sd, std::int64_t today, Pace& pace) {
  const double per_day = std::max(0.5, context.season->farm().hours_per_day);
  const double mean = std::log(pace.trees_per_hour.value);
  if (pace.trees_left > 0) {
    pace.hours_left = log_estimate(-mean, log_rate_sd, static_cast<double>(pace.trees_left));
  }
  const double people = pace.people;
  if (people > 0) {
    const auto day = [&](double hours) {
      const double days = std::min(hours / (people * per_day), 3650.0);
      return today + static_cast<std::int64_t>(std::ceil(days));
    };
    pace.finish_day = day(pace.hours_left.value);
    pace.finish_day_early = day(pace.hours_left.low);
    pace.finish_day_late = day(pace.hours_left.high);
  }
  std::int64_t green_tip_ms = 0;
  if (!context.block->block || context.block->block->green_tip_date.empty()) return;
  if (!base::parse_iso(context.block->block->green_tip_date, green_tip_ms)) return;
  pace.has_green_tip = true;
  pace.green_tip_day = green_tip_ms / base::day_ms;
  const double days = static_cast<double>(std::max<std::int64_t>(0, pace.green_tip_day - today));
  const double hours_there = days * per_day;
  if (pace.trees_left <= 0) {
    pace.probability_in_time = 1;
    return;
  }
  pace.people_needed = hours_there > 0 ? pace.hours_left.value / hours_there : 0;
  if (people > 0 && hours_there > 0) {
    const double gap = std::log(people * hours_there / pace.hours_left.value);
    pace.probability_in_time = stats::normal_cdf(gap / log_rate_sd);
  }
}

}  // namespace

Pace pace_in(const BlockContext& context) {
  Pace pace;
  const ledger::BlockSeason& block = *context.block;
  std::map<std::string, Spells> people;
  std::map<std::int64_t, std::set<std::string>> by_day;
  double trees = 0, hours = 0;
  for_current(block.work_spells, context.cut_ms, [&](const auto& entry) {
    Spells& spells = people[entry.author];
    const double t = entry.body.trees, h = entry.body.minutes / 60.0;
    const std::int64_t day = context.season->day_of(entry.at_ms());
    spells.trees += t;
    spells.hours += h;
    trees += t;
    hours += h;
    if (t > 0 && h > 0) spells.log_rates.push_back(std::log(t / h));
    spells.days.insert(day);
    by_day[day].insert(entry.author);
  });
  const std::int64_t today = context.season->day_of(context.now_ms);
  const double variance = pooled_variance(people);
  const Level crew = crew_rate(people, variance);
  for (const auto& [person, spells] : people) {
    pace.pruners.push_back(pace_of_one(person, spells, crew, variance, today));
  }
  pace.trees = context.planting().bearing();
  // Rows say what was pruned; what people typed is the fallback where fewer rows were logged.
  const double in_rows = context.rows().trees_logged;
  pace.trees_done =
      std::min(pace.trees, static_cast<std::int64_t>(std::max(trees, std::floor(in_rows))));
  if (is_finished(block, context.cut_ms)) pace.trees_done = pace.trees;
  pace.trees_left = pace.trees - pace.trees_done;
  pace.people = by_day.empty() ? 0 : static_cast<double>(by_day.rbegin()->second.size());
  const double n = std::max(1.0, pace.people);
  const double log_sd = std::sqrt(crew.variance + prior_cv * prior_cv / n / 4 +
                                  weather_log_sd * weather_log_sd);
  pace.trees_per_hour = log_estimate(crew.mean, log_sd);
  pace.rate_log_sd = log_sd;
  pace.hours_done = hours;
  foresee(context, log_sd, today, pace);
  const double wage = context.season->farm().wage_per_hour;
  pace.labour_cost = wage * hours;
  const orchard::Estimate& left = pace.hours_left;
  pace.labour_left = {wage * left.value, wage * left.low, wage * left.high};
  return pace;
}

Pace pace_of(const ledger::Season& season, const std::string& block, std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found) return {};
  return pace_in(make_context(season, *found, now_ms, cut_for(season, now_ms)));
}

}  // namespace nthtree::advice
