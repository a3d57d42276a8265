// SPDX-License-Identifier: Apache-2.0
// One pruner, for the lead: the verdict, the picture against the band, what was said and whether
// it worked; the numbers behind it only when the reason is opened.
#include <algorithm>
#include <cmath>

#include "advice/judged/remedy.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void picture(Frame& frame, const advice::Standing& standing, const advice::Verdict& verdict) {
  if (!standing.has_target) return;
  widgets::BandChart chart;
  chart.id = "band";
  band_of(standing, tolerance_of(frame), chart);
  chart.rows = {band_row("", standing, verdict)};
  chart.label = tr("standing.picture", {{"low", whole(standing.spurs_per_tree.low)},
                                        {"high", whole(standing.spurs_per_tree.high)},
                                        {"band_low", whole(chart.band_low)},
                                        {"band_high", whole(chart.band_high)}});
  band_chart(frame.ui, chart);
}

void reason_part(Frame& frame, const advice::Standing& standing, const advice::Verdict& verdict,
                 const advice::Counter& counter) {
  if (button(frame.ui, {.id = "reason",
                        .label = frame.session.reason_open ? tr("standing.reason_close")
                                                           : tr("standing.reason"),
                        .kind = Kind::quiet})) {
    frame.want(OpenReason{!frame.session.reason_open});
  }
  if (!frame.session.reason_open) return;
  const auto estimate = [](const orchard::Estimate& e) {
    return whole(e.value) + " (" + range_text(e.low, e.high) + ")";
  };
  fact(frame.ui, tr("standing.left"), estimate(standing.spurs_per_tree));
  fact(frame.ui, tr("standing.target"), estimate(standing.target));
  fact(frame.ui, tr("standing.too_many"), widgets::percent(standing.probability_over));
  fact(frame.ui, tr("standing.fine"), widgets::percent(standing.probability_within));
  fact(frame.ui, tr("standing.too_few"), widgets::percent(standing.probability_under));
  fact(frame.ui, tr("standing.counts"), whole(standing.counts));
  fact(frame.ui, tr("standing.borrowed"),
       tr_count("counts_n", std::lround(standing.borrowed_counts)));
  fact(frame.ui, tr("standing.checks"), whole(standing.checks));
  fact(frame.ui, tr("standing.misses"),
       tr("standing.misses_n",
          {{"n", of_100(std::fabs(1 - 1 / std::max(0.1, counter.ratio.value)))}}));
  const bool counts_help = advice::remedy_of(verdict) == advice::Remedy::count_more;
  if (counts_help && verdict.expected_more_trees > 0) {
    fact(frame.ui, tr("standing.expect"), whole(std::ceil(verdict.expected_more_trees)));
  }
  if (standing.has_target && counts_help) {
    const bool up = standing.over_target.value > 0;
    const double edge = standing.target.value *
                        (up ? 1 + 1.5 * tolerance_of(frame) : 1 - 1.5 * tolerance_of(frame));
    heading(frame.ui, tr("standing.change"), 3);
    paragraph(frame.ui, tr("standing.change_text", {{"n", whole(edge)}}));
  }
}

std::string alarm_text(Frame& frame, const advice::Drift& drift) {
  const auto when = [&](const advice::DriftAlarm& alarm) {
    return time_text(frame.season, alarm.began_ms);
  };
  std::string text;
  const auto say = [&](const char* key, const advice::DriftAlarm& alarm) {
    if (alarm.alarm) text += (text.empty() ? "" : " ") + tr(key, {{"when", when(alarm)}});
  };
  say(drift.level.change > 0 ? "standing.drift_up" : "standing.drift_down", drift.level);
  say("standing.drift_counting", drift.counting);
  say("standing.drift_spread", drift.spread);
  return text.empty() ? tr("standing.drift_none") : text;
}

void drift_part(Frame& frame, const advice::Standing& standing) {
  const advice::Drift& drift =
      frame.cache.drift(frame.season, frame.block_id(), frame.person_id(), frame.now_ms());
  if (drift.points.size() < 2) return;
  heading(frame.ui, tr("standing.drift"));
  widgets::LineChart chart;
  chart.id = "drift";
  chart.label = alarm_text(frame, drift);
  for (const advice::DriftPoint& point : drift.points) chart.points.push_back(point.spurs);
  if (standing.has_target) {
    chart.middle = standing.target.value;
    chart.limits = {chart.middle * (1 - tolerance_of(frame)),
                    chart.middle * (1 + tolerance_of(frame))};
  }
  if (drift.level.alarm) chart.changed_at = drift.level.began_index;
  chart.first_text = time_text(frame.season, drift.points.front().at_ms);
  chart.last_text = time_text(frame.season, drift.points.back().at_ms);
  line_chart(frame.ui, chart);
  paragraph(frame.ui, chart.label);
  if (drift.level.alarm && drift.false_every_days > 0) {
    small_print(frame.ui, tr_count("standing.drift_chance",
                                   std::max(1L, std::lround(drift.false_every_days))));
  }
}

// Whatever the target: this pruner beside the others, and whether the numbers were counted.
void others_part(Frame& frame, const advice::Counter& counter) {
  if (const advice::AgainstCrew* crew = against_crew_of(frame, frame.person_id())) {
    heading(frame.ui, tr("standing.others"));
    paragraph(frame.ui, reason_text(crew->reason));
    if (crew->kind != advice::AgainstCrewKind::too_few_others) {
      fact(frame.ui, tr("standing.others_fact"),
           signed_percent(crew->fraction.value) + " (" +
               tr("range", {{"low", signed_percent(crew->fraction.low)},
                            {"high", signed_percent(crew->fraction.high)}}) + ")");
    }
  }
  if (!counter.signs.empty()) {
    notice(frame.ui, {.id = "counting", .tone = Tone::caution, .title = tr("standing.counting"),
                      .text = signs_text(counter)});
  }
}

std::string outcome_text(advice::AdviceOutcome outcome) {
  switch (outcome) {
    case advice::AdviceOutcome::none:
      return "";
    case advice::AdviceOutcome::too_early:
      return tr("standing.outcome.too_early");
    case advice::AdviceOutcome::worked:
      return tr("standing.outcome.worked");
    case advice::AdviceOutcome::overshot:
      return tr("standing.outcome.overshot");
    case advice::AdviceOutcome::no_change:
      break;
  }
  return tr("standing.outcome.no_change");
}

void told_part(Frame& frame, const std::string& name) {
  const ledger::BlockSeason* block = frame.block();
  const auto* advice = block ? last_advice(*block, frame.person_id()) : nullptr;
  if (!advice) return;
  const advice::Drift& drift =
      frame.cache.drift(frame.season, frame.block_id(), frame.person_id(), frame.now_ms());
  notice(frame.ui, {.id = "told",
                    .title = tr("standing.told",
                                {{"when", when_text(advice->at_ms(), frame.now_ms())},
                                 {"what", told_text(advice->body, name)}}),
                    .text = outcome_text(drift.advice)});
}

}  // namespace

void draw_standing(Frame& frame) {
  const std::string person = frame.person_id();
  const std::string name = person_text(frame.season, person);
  open(frame, {.key = "standing/" + person,
               .title = name,
               .actions = {{.id = "tell", .label = tr("standing.tell", {{"name", name}})}},
               .full = true});
  const advice::Standing& standing =
      frame.cache.standing(frame.season, frame.block_id(), person, frame.now_ms());
  const advice::Verdict& verdict =
      frame.cache.verdict(frame.season, frame.block_id(), person, frame.now_ms());
  const advice::Counter counter = frame.cache.bias(frame.season, frame.now_ms()).of(person);
  const bool desk = frame.ui.desk();  // room for the reason beside the picture
  const auto said = [&] {
    verdict_here(frame, "verdict", verdict, true, false);
    for (const advice::Reason& note : verdict.notes) {
      if (note.id != "note_two_kinds") paragraph(frame.ui, reason_text(note));  // told below
    }
    if (standing.counts + standing.counts_before == 0) {
      paragraph(frame.ui, tr("standing.nobody"));
    }
    if (desk) reason_part(frame, standing, verdict, counter);
  };
  const auto seen = [&] {
    picture(frame, standing, verdict);
    if (standing.mixed) {
      notice(frame.ui, {.id = "mixed", .tone = Tone::caution, .text = tr("standing.mixed")});
    }
    others_part(frame, counter);
    told_part(frame, name);
  };
  side_by_side(frame, said, seen);
  if (!desk) reason_part(frame, standing, verdict, counter);
  drift_part(frame, standing);
  if (frame.bar.action == "tell") frame.go(ScreenId::give_advice, frame.block_id(), person);
  finish(frame);
}

}  // namespace nthtree::screens
