// SPDX-License-Identifier: Apache-2.0
#include "advice/review/day_review.h"

#include <algorithm>
#include <functional>
#include <map>
#include <set>

#include "advice/internal/current.h"
#include "advice/internal/day_parts.h"
#include "base/clock.h"

namespace nthtree::advice {
namespace {

constexpr std::size_t revisit_most = 20;

struct DayTally {
  int counts = 0, checks = 0, trees = 0, advice = 0;
  double hours = 0;
};

using Tallies = std::map<std::string, DayTally>;

Tallies tally_day(const ledger::Season& season, const ledger::BlockSeason& block,
                  std::int64_t day, std::int64_t cut_ms) {
  Tallies people;
  const auto on_day = [&](const auto& entry) { return season.day_of(entry.at_ms()) == day; };
  for_current(block.tag_counts, cut_ms, [&](const auto& e) {
    if (on_day(e)) ++people[e.author].counts;
  });
  for_current(block.part_counts, cut_ms, [&](const auto& e) {
    if (on_day(e)) ++people[e.author].counts;
  });
  for_current(block.check_counts, cut_ms, [&](const auto& e) {
    if (on_day(e)) ++people[e.author].checks;
  });
  for_current(block.part_checks, cut_ms, [&](const auto& e) {
    if (on_day(e)) ++people[e.author].checks;
  });
  for_current(block.work_spells, cut_ms, [&](const auto& e) {
    if (!on_day(e)) return;
    people[e.author].trees += e.body.trees;
    people[e.author].hours += e.body.minutes / 60.0;
  });
  for_current(block.advice, cut_ms, [&](const auto& e) {
    if (on_day(e)) ++people[e.body.person].advice;
  });
  return people;
}

// How the block stood when the day began; without a context where nothing was counted before.
struct Before {
  std::optional<BlockContext> context;

  std::optional<VerdictKind> verdict_of(const std::string& person) const {
    const Standing* standing = context ? context->standings().of(person) : nullptr;
    if (!standing) return std::nullopt;
    return kind_of(*standing, context->settings);
  }
  std::optional<AcceptanceKind> acceptance() const {
    if (!context) return std::nullopt;
    return accept_in(*context).kind;
  }
};

Before before_of(const ledger::Season& season, const ledger::BlockSeason& block,
                 std::int64_t day_start_ms) {
  bool counted = false;
  const auto note = [&](const auto&) { counted = true; };
  for_current(block.tag_counts, day_start_ms - 1, note);
  for_current(block.part_counts, day_start_ms - 1, note);
  if (!counted) return {};
  return {make_context(season, block, day_start_ms - 1, day_start_ms - 1)};
}

void add_pruners(const BlockContext& context, const Before& before, const Tallies& people,
                 DayReview& review) {
  std::map<std::string, CrewRow> rows;
  for (CrewRow& row : crew_in(context)) rows.emplace(row.person, row);
  for (const auto& [person, tally] : people) {
    PrunerDay pruner;
    pruner.person = person;
    pruner.block = context.block->id;
    pruner.counts = tally.counts;
    pruner.checks = tally.checks;
    pruner.trees = tally.trees;
    pruner.hours = tally.hours;
    pruner.advice_given = tally.advice;
    const auto row = rows.find(person);
    if (row != rows.end()) {
      const Drift& drift = row->second.drift;
      pruner.has_standing = true;
      pruner.verdict = row->second.verdict;
      pruner.before = before.verdict_of(person);
      pruner.drifted = drift.level.alarm &&
                       context.season->day_of(drift.level.alarm_ms) == review.day;
      pruner.drift_began_ms = pruner.drifted ? drift.level.began_ms : 0;
      pruner.outcome = drift.advice;
    } else {
      pruner.verdict.reason = {"no_counts", {}};
    }
    review.pruners.push_back(std::move(pruner));
  }
}

std::int64_t start_of_day(const ledger::Season& season, std::int64_t day) {
  return season.time_zone().moment_of(day * base::day_ms);
}

void add_estimate(const orchard::Estimate& more, orchard::Estimate& sum) {
  sum.value += more.value;
  sum.low += more.low;
  sum.high += more.high;
}

void add_block(const BlockContext& context, const Before& before, const Tallies& people,
               DayReview& review) {
  BlockDay day;
  day.block = context.block->id;
  for (const auto& [person, tally] : people) {
    day.counts += tally.counts;
    day.checks += tally.checks;
    day.trees_today += tally.trees;
    review.advice_given += tally.advice;
    review.hours += tally.hours;
  }
  day.acceptance = accept_in(context);
  day.before = before.acceptance();
  day.pace = pace_in(context);
  day.frost = frost_advice(*context.block, context.now_ms);
  day.cost = cost_in(context);
  day.verdict = judge(context.standings().block_standing, context.settings);
  review.counts += day.counts;
  review.checks += day.checks;
  review.trees += day.trees_today;
  add_estimate(day.cost.thinning_cost, review.thinning_cost);
  add_estimate(day.cost.crop_lost_value, review.crop_lost_value);
  review.revisit.insert(review.revisit.end(), day.acceptance.revisit.begin(),
                        day.acceptance.revisit.end());
  review.blocks.push_back(std::move(day));
}

// A look after a frost is worth the day's review, though nobody counted there.
bool is_frost_looked_at(const ledger::Season& season, const ledger::BlockSeason& block,
                        std::int64_t day, std::int64_t cut_ms) {
  bool looked = false;
  for_current(block.frost_samples, cut_ms,
              [&](const auto& entry) { looked = looked || season.day_of(entry.at_ms()) == day; });
  return looked;
}

}  // namespace

DayReview day_review(const ledger::Season& season, std::int64_t day, std::int64_t now_ms) {
  DayReview review;
  review.day = day;
  const std::int64_t today = season.day_of(now_ms);
  const std::int64_t day_end_ms = start_of_day(season, day + 1) - 1;
  const std::int64_t cut_ms = day >= today ? cut_for(season, now_ms) : day_end_ms;
  const std::int64_t as_of_ms = std::min(now_ms, day_end_ms);
  for (const auto& [id, block] : season.blocks()) {
    const Tallies people = tally_day(season, block, day, cut_ms);
    if (people.empty() && !is_frost_looked_at(season, block, day, cut_ms)) continue;
    const BlockContext context = make_context(season, block, as_of_ms, cut_ms);
    const Before before = before_of(season, block, start_of_day(season, day));
    add_pruners(context, before, people, review);
    add_block(context, before, people, review);
  }
  std::sort(review.revisit.begin(), review.revisit.end(), [](const Revisit& a, const Revisit& b) {
    if (a.value != b.value) return a.value > b.value;
    return a.block != b.block ? a.block < b.block : a.tree < b.tree;
  });
  if (review.revisit.size() > revisit_most) review.revisit.resize(revisit_most);
  return review;
}

std::vector<std::int64_t> days_with_records(const ledger::Season& season, std::int64_t now_ms) {
  const std::int64_t cut_ms = cut_for(season, now_ms);
  std::set<std::int64_t, std::greater<>> days;
  const auto note = [&](const auto& entry) { days.insert(season.day_of(entry.at_ms())); };
  for (const auto& [id, block] : season.blocks()) {
    for_current(block.tag_counts, cut_ms, note);
    for_current(block.check_counts, cut_ms, note);
    for_current(block.part_counts, cut_ms, note);
    for_current(block.part_checks, cut_ms, note);
    for_current(block.work_spells, cut_ms, note);
    for_current(block.advice, cut_ms, note);
    for_current(block.frost_samples, cut_ms, note);
  }
  return {days.begin(), days.end()};
}

}  // namespace nthtree::advice
