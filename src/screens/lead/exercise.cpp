// SPDX-License-Identifier: Apache-2.0
// A counting exercise: several people, the same trees, twice, nobody seeing a number. The lead
// learns how much of what counts differ by is the people, and how much the counting itself.
#include <cmath>

#include "ledger/current.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/new_id.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr std::size_t trees_max = 30;
// Measurement Systems Analysis (AIAG, 4th ed.): under 10 % of the whole spread good, over 30 poor.
constexpr double share_good = 0.1, share_poor = 0.3;

bool is_pruner(const Frame& frame) {
  return !frame.me() || frame.me()->role == orchard::Role::pruner;
}

void turn_card(Frame& frame, const advice::ExerciseTurn& turn, int left) {
  frame.ui.open_card();
  small_print(frame.ui, tr("exercise.round", {{"n", whole(turn.round)}}));
  heading(frame.ui, tree_text(turn.tree));
  paragraph(frame.ui, tr_count("exercise.left", left));
  frame.ui.close_card(frame.ui.theme().card);
}

void people_part(Frame& frame, const advice::ExerciseProgress& now) {
  heading(frame.ui, tr("exercise.people"));
  const int all = advice::exercise_rounds * static_cast<int>(now.trees.size());
  for (const auto& [person, times] : now.times) {
    fact(frame.ui, person_text(frame.season, person),
         tr("exercise.done_of", {{"n", whole(now.done_by(person))}, {"all", whole(all)}}));
  }
  small_print(frame.ui, tr("exercise.hand_on"));
}

// One's own counts, without their numbers, to take one back that went wrong.
void own_counts(Frame& frame, const std::string& id) {
  const ledger::BlockSeason* block = frame.block();
  bool titled = false;
  for (const auto& entry : ledger::current_newest_first(block->exercise_counts)) {
    if (entry.author != frame.session.person || entry.body.exercise != id) continue;
    if (!titled) heading(frame.ui, tr("exercise.own"));
    titled = true;
    if (choice_row(frame.ui, {.id = "entry/" + entry.position.id.text(),
                              .label = tree_text(entry.body.tree),
                              .detail = tr("exercise.round", {{"n", whole(entry.body.round)}}) +
                                        ", " + when_text(entry.at_ms(), frame.now_ms())})) {
      frame.want(Go{Stop{ScreenId::entry, frame.block_id(), {}, {}, entry.position.id.text()}});
    }
  }
}

void spread_chart(Frame& frame, const advice::Exercise& result) {
  widgets::BarChart chart;
  chart.id = "spread";
  chart.label = tr("exercise.chart", {{"trees", whole(result.tree_sd)},
                                      {"people", whole(result.reproducibility_sd)},
                                      {"again", whole(result.repeatability_sd)}});
  const auto bar = [&](const char* key, double sd) {
    chart.rows.push_back({tr(key), sd, "±" + whole(sd), false});
  };
  bar("exercise.bar.trees", result.tree_sd);
  bar("exercise.bar.people", result.reproducibility_sd);
  bar("exercise.bar.again", result.repeatability_sd);
  bar_chart(frame.ui, chart);
}

std::string advice_text(const advice::Exercise& result) {
  if (result.gauge_share < share_good) return tr("exercise.advice.keep");
  return tr(result.reproducibility_sd > result.repeatability_sd ? "exercise.advice.people"
                                                                : "exercise.advice.again");
}

std::string person_line(const advice::ExercisePerson& person) {
  const double off = person.ratio_to_all - 1;
  const std::string n = of_100(std::fabs(off));
  const std::string level = std::fabs(off) < 0.005 ? tr("exercise.same")
                            : off > 0              ? tr("exercise.above", {{"n", n}})
                                                   : tr("exercise.below", {{"n", n}});
  return level + ", " + tr("exercise.again", {{"n", whole(person.repeat_sd)}});
}

void result_part(Frame& frame, const advice::Exercise& result) {
  heading(frame.ui, tr("exercise.result"));
  const bool good = result.gauge_share < share_good, poor = result.gauge_share > share_poor;
  pill(frame.ui, tr(good ? "exercise.good" : poor ? "exercise.poor" : "exercise.fair"),
       good ? Tone::good : poor ? Tone::caution : Tone::plain);
  strong_line(frame.ui, advice_text(result));
  big_number(frame.ui, whole(result.two_people_limit), tr("exercise.two_people"));
  big_number(frame.ui, whole(result.same_person_limit), tr("exercise.same_person"));
  if (const advice::BlockTarget* target = frame.cache.target(frame.season, frame.block_id())) {
    const double band = target->target.spurs_to_leave_per_tree.value * tolerance_of(frame);
    small_print(frame.ui, tr("exercise.band", {{"n", whole(band)}}));
  }
  spread_chart(frame, result);
  heading(frame.ui, tr("exercise.by_person"));
  // A difference that chance alone makes in more than one study of twenty is not held against
  // anybody.
  if (result.p_people > 0.05) paragraph(frame.ui, tr("exercise.no_difference"));
  for (const advice::ExercisePerson& person : result.by_person) {
    frame.ui.open_card();
    strong_line(frame.ui, person_text(frame.season, person.person));
    paragraph(frame.ui, person_line(person));
    if (person.has_limits) {
      small_print(frame.ui, tr("exercise.limits", {{"low", signed_whole(person.limit_low)},
                                                   {"high", signed_whole(person.limit_high)}}));
    }
    frame.ui.close_card(frame.ui.theme().card);
  }
  small_print(frame.ui, tr("exercise.basis", {{"people", whole(result.people)},
                                              {"trees", whole(result.trees)},
                                              {"rounds", whole(result.rounds)}}));
  if (result.left_out > 0) {
    small_print(frame.ui, tr("exercise.left_out", {{"n", whole(result.left_out)}}));
  }
}

// What everybody owes is done by this person: the result for a lead, thanks for the others.
void after_turns(Frame& frame, const advice::ExerciseProgress& now) {
  pill(frame.ui, tr("exercise.through"), Tone::good);
  if (is_pruner(frame)) return paragraph(frame.ui, tr("exercise.lead_has_it"));
  const advice::Exercise& result = frame.cache.exercise(frame.season, now.id);
  if (result.complete)
    result_part(frame, result);
  else
    paragraph(frame.ui, tr("exercise.waiting"));
}

void open_turn(Frame& frame, const advice::ExerciseTurn& turn, const std::string& id) {
  frame.want(OpenCount{CountPurpose::exercise, frame.block_id(), turn.tree, id, turn.round});
}

// A tree that is new to the exercise: near the last one, to be changed on the count itself.
void open_new_tree(Frame& frame, const advice::ExerciseProgress& now, const std::string& id) {
  const ledger::BlockSeason* block = frame.block();
  orchard::TreeAddress tree{1, 1};
  if (!now.trees.empty() && now.id == id)
    tree = {now.trees.back().row, now.trees.back().tree + 1};
  else if (const auto* last = block ? newest_current(block->tag_counts) : nullptr)
    tree = last->body.tree;
  open_turn(frame, {tree, 0}, id);
}

}  // namespace

void draw_exercise(Frame& frame) {
  const advice::ExerciseProgress& now =
      frame.cache.exercise_now(frame.season, frame.block_id());
  const auto next = now.next_for(frame.session.person);
  const bool begun = !now.trees.empty();
  const bool may_add = begun && !is_pruner(frame) && now.trees.size() < trees_max;
  std::vector<widgets::Action> actions;
  if (next) {
    actions.push_back({.id = "turn", .label = tr("home.count"), .weight = 1.4f});
  } else if (!begun) {
    actions.push_back({.id = "first", .label = tr("exercise.first")});
  }
  if (may_add && next) {
    actions.push_back({.id = "add", .label = tr("exercise.add"), .kind = Kind::quiet});
  }
  open(frame, {.key = "exercise", .title = tr("exercise.title"), .actions = actions,
               .full = true});
  save_state(frame);
  unfinished(frame);
  if (!begun) {
    empty_state(frame.ui, {.id = "none", .glyph = Glyph::level,
                           .text = tr("exercise.empty")});
    frame.ui.open_card();
    paragraph(frame.ui, tr("exercise.how"));
    frame.ui.close_card(frame.ui.theme().card);
  } else {
    if (next)
      turn_card(frame, *next, now.left_for(frame.session.person));
    else
      after_turns(frame, now);
    people_part(frame, now);
    own_counts(frame, now.id);
    if (!next && may_add) {
      if (button(frame.ui, {.id = "add", .label = tr("exercise.add"), .kind = Kind::quiet})) {
        open_new_tree(frame, now, now.id);
      }
      if (button(frame.ui, {.id = "new", .label = tr("exercise.new"), .kind = Kind::quiet})) {
        open_new_tree(frame, now, new_id('e', frame.now_ms()));
      }
    }
  }
  if (frame.bar.action == "turn" && next) open_turn(frame, *next, now.id);
  if (frame.bar.action == "add") open_new_tree(frame, now, now.id);
  if (frame.bar.action == "first") open_new_tree(frame, now, new_id('e', frame.now_ms()));
  finish(frame);
}

}  // namespace nthtree::screens
