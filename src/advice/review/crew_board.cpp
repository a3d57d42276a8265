// SPDX-License-Identifier: Apache-2.0
#include "advice/review/crew_board.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "advice/internal/day_parts.h"
#include "advice/internal/drift_model.h"
#include "advice/internal/next_tree_model.h"

namespace nthtree::advice {
namespace {

constexpr double quiet_factor = 2.5;     // of the time a stride should take
constexpr double minutes_a_tree = 4;
constexpr std::int64_t same_day_ms = 14LL * 3600 * 1000;
constexpr double checks_worth_walking = 0.5;  // a re-count worth half a count and more

bool has(const Counter& counter, CountingSign sign) {
  return std::find(counter.signs.begin(), counter.signs.end(), sign) != counter.signs.end();
}

// Expected spurs put right per tree if the lead sees this person now: how far off beyond the
// band, weighed by how sure that is, plus what the other alarms are worth.
void weigh(const BlockContext& context, CrewRow& row) {
  const Standing& s = row.standing;
  const double band = context.settings.tolerance_fraction * s.target.value;
  const double beyond = std::max(0.0, std::fabs(s.over_target.value) - band / 2);
  const bool tells = row.verdict.kind == VerdictKind::harder ||
                     row.verdict.kind == VerdictKind::lighter;
  row.attention = beyond * (tells ? row.verdict.sureness
                                  : std::max(s.probability_over, s.probability_under) * 0.5);
  const double silent_ms = static_cast<double>(context.now_ms - s.last_count_ms);
  row.quiet = s.last_count_ms > 0 && silent_ms < same_day_ms &&
              silent_ms > quiet_factor * row.stride * minutes_a_tree * 60000;
  const double spurs = std::round(s.over_target.value);
  if (row.verdict.calls_lead) row.attention += s.target.value;  // a whole tree, and at once
  if (row.verdict.reason.id == "far_trees") {
    row.why = {"attention_far_trees", row.verdict.reason.numbers};
  } else if (tells) {
    row.why = {row.verdict.is_urgent ? "attention_urgent" : "attention_change",
               {{"spurs", spurs}, {"sureness", row.verdict.sureness}}};
    if (row.verdict.is_urgent) row.attention *= 2;
  } else if (row.verdict.kind == VerdictKind::count_more && row.crew.tells_with(s)) {
    const double apart = std::fabs(row.crew.spurs_per_tree_over_crew.value) - band / 2;
    row.attention = std::max(row.attention, row.crew.sureness * apart);
    row.why = row.crew.reason;
  } else if (row.drift.level.alarm) {
    row.attention += 0.5 * std::fabs(row.drift.level.change) * s.target.value;
    row.why = {"attention_drift", {{"change_percent", std::round(100 * row.drift.level.change)}}};
  } else if (row.counter.may_not_be_counted()) {
    row.attention += band / 2;
    row.why = {"attention_not_counted", {}};
  } else if (!row.counter.signs.empty() || row.drift.counting.alarm) {
    row.attention += band / 2;
    row.why = {"attention_counting", {{"ratio", row.counter.ratio.value}}};
  } else if (row.drift.spread.alarm) {
    row.attention += band / 3;
    row.why = {"attention_spread", {{"change_percent", std::round(100 * row.drift.spread.change)}}};
  } else if (row.quiet) {
    row.attention += band / 4;
    row.why = {"attention_quiet", {{"minutes", std::round(silent_ms / 60000)}}};
  } else {
    row.why = {row.verdict.kind == VerdictKind::count_more ? "attention_open" : "attention_none",
               {{"counts", static_cast<double>(s.counts)}}};
  }
  if (has(row.counter, CountingSign::copies)) row.attention += band;
}

}  // namespace

std::vector<CrewRow> crew_in(const BlockContext& context) {
  std::map<std::string, int> due;
  for (const Recount& recount : recounts_in(context, 20)) {
    if (recount.gain >= checks_worth_walking) ++due[recount.person];
  }
  std::vector<CrewRow> rows;
  for (const Standing& standing : context.standings().pruners) {
    CrewRow row;
    row.person = standing.person;
    row.standing = standing;
    row.verdict = verdict_for(standing, context.settings);
    row.crew = against_crew(context.standings(), standing.person, context.settings);
    row.drift = drift_in(context, standing.person);
    row.counter = context.bias->of(standing.person);
    row.stride = stride_for(context, standing, row.verdict).stride;
    row.checks_due = due[standing.person];
    weigh(context, row);
    rows.push_back(std::move(row));
  }
  std::sort(rows.begin(), rows.end(), [](const CrewRow& a, const CrewRow& b) {
    return a.attention != b.attention ? a.attention > b.attention : a.person < b.person;
  });
  return rows;
}

std::vector<CrewRow> crew_board(const ledger::Season& season, const std::string& block,
                                std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found) return {};
  return crew_in(make_context(season, *found, now_ms, cut_for(season, now_ms)));
}

}  // namespace nthtree::advice
