// SPDX-License-Identifier: Apache-2.0
#include "advice/review/day_review.h"

#include <algorithm>
#include <map>

#include "advice/internal/day_parts.h"
#include "advice/internal/live.h"

namespace nthtree::advice {
namespace {

constexpr std::size_t revisit_most = 20;
constexpr std::int64_t day_ms = 24LL * 3600 * 1000;

struct DayTally {
  int counts = 0, checks = 0, trees = 0, advice = 0;
  double hours = 0;
};

using Tallies = std::map<std::string, DayTally>;

Tallies tally_day(const ledger::Season& season, const ledger::BlockSeason& block,
                  std::int64_t day, std::int64_t cut_ms) {
  Tallies people;
  const auto on_day = [&](const auto& entry) { return season.day_of(entry.at_ms()) == day; };
  for_live(block.tag_counts, cut_ms, [&](const auto& e) {
    if (on_day(e)) ++people[e.author].counts;
  });
  for_live(block.check_counts, cut_ms, [&](const auto& e) {
    if (on_day(e)) ++people[e.author].checks;
  });
  for_live(block.work_spells, cut_ms, [&](const auto& e) {
    if (!on_day(e)) return;
    people[e.author].trees += e.body.trees;
    people[e.author].hours += e.body.minutes / 60.0;
  });
  for_live(block.advice, cut_ms, [&](const auto& e) {
    if (on_day(e)) ++people[e.body.person].advice;
  });
  return people;
}

void add_pruners(const BlockContext& context, const Tallies& people, DayReview& review) {
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
      pruner.verdict = row->second.verdict;
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

void add_estimate(const orchard::Estimate& more, orchard::Estimate& sum) {
  sum.value += more.value;
  sum.low += more.low;
  sum.high += more.high;
}

void add_block(const BlockContext& context, const Tallies& people, DayReview& review) {
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
  day.pace = pace_in(context);
  day.cost = cost_in(context);
  day.verdict = judge(context.standings.block_standing, context.settings);
  review.counts += day.counts;
  review.checks += day.checks;
  review.trees += day.trees_today;
  add_estimate(day.cost.thinning_cost, review.thinning_cost);
  add_estimate(day.cost.crop_lost_value, review.crop_lost_value);
  review.revisit.insert(review.revisit.end(), day.acceptance.revisit.begin(),
                        day.acceptance.revisit.end());
  review.blocks.push_back(std::move(day));
}

}  // namespace

DayReview day_review(const ledger::Season& season, std::int64_t day, std::int64_t now_ms) {
  DayReview review;
  review.day = day;
  const std::int64_t today = season.day_of(now_ms);
  // The last millisecond of that day at the farm.
  const std::int64_t day_end_ms =
      (day + 1) * day_ms - season.farm().utc_offset_minutes * 60000LL - 1;
  const std::int64_t cut_ms = day >= today ? cut_for(season, now_ms) : day_end_ms;
  const std::int64_t as_of_ms = std::min(now_ms, day_end_ms);
  for (const auto& [id, block] : season.blocks()) {
    const Tallies people = tally_day(season, block, day, cut_ms);
    if (people.empty()) continue;
    const BlockContext context = make_context(season, block, as_of_ms, cut_ms);
    add_pruners(context, people, review);
    add_block(context, people, review);
  }
  std::sort(review.revisit.begin(), review.revisit.end(), [](const Revisit& a, const Revisit& b) {
    if (a.value != b.value) return a.value > b.value;
    return a.block != b.block ? a.block < b.block : a.tree < b.tree;
  });
  if (review.revisit.size() > revisit_most) review.revisit.resize(revisit_most);
  return review;
}

}  // namespace nthtree::advice
