// SPDX-License-Identifier: Apache-2.0
// One pruner, for the lead: the verdict, the picture against the band, what was said and whether
// it worked; the numbers behind it only when the reason is opened.
#include <algorithm>
#include <cmath>

#include "advice/judged/remedy.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void picture(Scene& scene, const advice::Standing& standing, const advice::Verdict& verdict) {
  if (!standing.has_target) return;
  widgets::BandChart chart;
  chart.id = "band";
  band_of(standing, tolerance_of(scene), chart);
  chart.rows = {band_row("", standing, verdict)};
  chart.label = tr("standing.picture", {{"low", whole(standing.spurs_per_tree.low)},
                                        {"high", whole(standing.spurs_per_tree.high)},
                                        {"band_low", whole(chart.band_low)},
                                        {"band_high", whole(chart.band_high)}});
  band_chart(scene.ui, chart);
}

void reason_part(Scene& scene, const advice::Standing& standing, const advice::Verdict& verdict,
                 const advice::Counter& counter) {
  if (button(scene.ui, {.id = "reason",
                        .label = scene.session.reason_open ? tr("standing.reason_close")
                                                           : tr("standing.reason"),
                        .kind = Kind::quiet})) {
    scene.want(OpenReason{!scene.session.reason_open});
  }
  if (!scene.session.reason_open) return;
  const auto estimate = [](const orchard::Estimate& e) {
    return whole(e.value) + " (" + range_text(e.low, e.high) + ")";
  };
  fact(scene.ui, tr("standing.left"), estimate(standing.spurs_per_tree));
  fact(scene.ui, tr("standing.target"), estimate(standing.target));
  fact(scene.ui, tr("standing.too_many"), widgets::percent(standing.probability_over));
  fact(scene.ui, tr("standing.fine"), widgets::percent(standing.probability_within));
  fact(scene.ui, tr("standing.too_few"), widgets::percent(standing.probability_under));
  fact(scene.ui, tr("standing.counts"), whole(standing.counts));
  fact(scene.ui, tr("standing.borrowed"),
       tr_count("counts_n", std::lround(standing.borrowed_counts)));
  fact(scene.ui, tr("standing.checks"), whole(standing.checks));
  fact(scene.ui, tr("standing.misses"),
       tr("standing.misses_n",
          {{"n", of_100(std::fabs(1 - 1 / std::max(0.1, counter.ratio.value)))}}));
  const bool counts_help = advice::remedy_of(verdict) == advice::Remedy::count_more;
  if (counts_help && verdict.expected_more_trees > 0) {
    fact(scene.ui, tr("standing.expect"), whole(std::ceil(verdict.expected_more_trees)));
  }
  if (standing.has_target && counts_help) {
    const bool up = standing.over_target.value > 0;
    const double edge = standing.target.value *
                        (up ? 1 + 1.5 * tolerance_of(scene) : 1 - 1.5 * tolerance_of(scene));
    heading(scene.ui, tr("standing.change"), 3);
    paragraph(scene.ui, tr("standing.change_text", {{"n", whole(edge)}}));
  }
}

std::string alarm_text(Scene& scene, const advice::Drift& drift) {
  const auto when = [&](const advice::DriftAlarm& alarm) {
    return time_text(scene.season, alarm.began_ms);
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

void drift_part(Scene& scene, const advice::Standing& standing) {
  const advice::Drift& drift =
      scene.reckoning.drift(scene.season, scene.block_id(), scene.person_id(), scene.now_ms());
  if (drift.points.size() < 2) return;
  heading(scene.ui, tr("standing.drift"));
  widgets::LineChart chart;
  chart.id = "drift";
  chart.label = alarm_text(scene, drift);
  for (const advice::DriftPoint& point : drift.points) chart.points.push_back(point.spurs);
  if (standing.has_target) {
    chart.middle = standing.target.value;
    chart.limits = {chart.middle * (1 - tolerance_of(scene)),
                    chart.middle * (1 + tolerance_of(scene))};
  }
  if (drift.level.alarm) chart.changed_at = drift.level.began_index;
  chart.first_text = time_text(scene.season, drift.points.front().at_ms);
  chart.last_text = time_text(scene.season, drift.points.back().at_ms);
  line_chart(scene.ui, chart);
  paragraph(scene.ui, chart.label);
  if (drift.level.alarm && drift.false_every_days > 0) {
    small_print(scene.ui, tr_count("standing.drift_chance",
                                   std::max(1L, std::lround(drift.false_every_days))));
  }
}

// Whatever the target: this pruner beside the others, and whether the numbers were counted.
void others_part(Scene& scene, const advice::Counter& counter) {
  if (const advice::AgainstCrew* crew = against_crew_of(scene, scene.person_id())) {
    heading(scene.ui, tr("standing.others"));
    paragraph(scene.ui, reason_text(crew->reason));
    if (crew->kind != advice::AgainstCrewKind::too_few_others) {
      fact(scene.ui, tr("standing.others_fact"),
           signed_percent(crew->fraction.value) + " (" +
               tr("range", {{"low", signed_percent(crew->fraction.low)},
                            {"high", signed_percent(crew->fraction.high)}}) + ")");
    }
  }
  if (!counter.signs.empty()) {
    notice(scene.ui, {.id = "counting", .tone = Tone::caution, .title = tr("standing.counting"),
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

void told_part(Scene& scene, const std::string& name) {
  const ledger::BlockSeason* block = scene.block();
  const auto* advice = block ? last_advice(*block, scene.person_id()) : nullptr;
  if (!advice) return;
  const advice::Drift& drift =
      scene.reckoning.drift(scene.season, scene.block_id(), scene.person_id(), scene.now_ms());
  notice(scene.ui, {.id = "told",
                    .title = tr("standing.told",
                                {{"when", when_text(advice->at_ms(), scene.now_ms())},
                                 {"what", told_text(advice->body, name)}}),
                    .text = outcome_text(drift.advice)});
}

}  // namespace

void draw_standing(Scene& scene) {
  const std::string person = scene.person_id();
  const std::string name = person_text(scene.season, person);
  open(scene, {.key = "standing/" + person,
               .title = name,
               .actions = {{.id = "tell", .label = tr("standing.tell", {{"name", name}})}},
               .full = true});
  const advice::Standing& standing =
      scene.reckoning.standing(scene.season, scene.block_id(), person, scene.now_ms());
  const advice::Verdict& verdict =
      scene.reckoning.verdict(scene.season, scene.block_id(), person, scene.now_ms());
  const advice::Counter counter = scene.reckoning.bias(scene.season, scene.now_ms()).of(person);
  const bool desk = scene.ui.desk();  // room for the reason beside the picture
  const auto said = [&] {
    verdict_here(scene, "verdict", verdict, true, false);
    for (const advice::Reason& note : verdict.notes) {
      if (note.id != "note_two_kinds") paragraph(scene.ui, reason_text(note));  // told below
    }
    if (standing.counts + standing.counts_before == 0) {
      paragraph(scene.ui, tr("standing.nobody"));
    }
    if (desk) reason_part(scene, standing, verdict, counter);
  };
  const auto seen = [&] {
    picture(scene, standing, verdict);
    if (standing.mixed) {
      notice(scene.ui, {.id = "mixed", .tone = Tone::caution, .text = tr("standing.mixed")});
    }
    others_part(scene, counter);
    told_part(scene, name);
  };
  side_by_side(scene, said, seen);
  if (!desk) reason_part(scene, standing, verdict, counter);
  drift_part(scene, standing);
  if (scene.bar.action == "tell") scene.go(ScreenId::give_advice, scene.block_id(), person);
  finish(scene);
}

}  // namespace nthtree::screens
