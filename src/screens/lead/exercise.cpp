// SPDX-License-Identifier: Apache-2.0
// A counting exercise: several people, the same trees, twice, nobody seeing a number. The lead
// learns how much of what counts differ by is the people, and how much the counting itself.
#include <cmath>

#include "ledger/live.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/new_id.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr std::size_t trees_max = 30;
// Measurement Systems Analysis (AIAG, 4th ed.): under 10 % of the whole spread good, over 30 poor.
constexpr double share_good = 0.1, share_poor = 0.3;

bool is_pruner(const Scene& scene) {
  return !scene.me() || scene.me()->role == orchard::Role::pruner;
}

void turn_card(Scene& scene, const advice::ExerciseTurn& turn, int left) {
  scene.ui.open_card();
  small_print(scene.ui, tr("exercise.round", {{"n", whole(turn.round)}}));
  heading(scene.ui, tree_text(turn.tree));
  paragraph(scene.ui, tr_count("exercise.left", left));
  scene.ui.close_card(scene.ui.theme().card);
}

void people_part(Scene& scene, const advice::ExerciseProgress& now) {
  heading(scene.ui, tr("exercise.people"));
  const int all = advice::exercise_rounds * static_cast<int>(now.trees.size());
  for (const auto& [person, times] : now.times) {
    fact(scene.ui, person_text(scene.season, person),
         tr("exercise.done_of", {{"n", whole(now.done_by(person))}, {"all", whole(all)}}));
  }
  small_print(scene.ui, tr("exercise.hand_on"));
}

// One's own counts, without their numbers, to take one back that went wrong.
void own_counts(Scene& scene, const std::string& id) {
  const ledger::BlockSeason* block = scene.block();
  bool titled = false;
  for (const auto& entry : ledger::live_newest_first(block->exercise_counts)) {
    if (entry.author != scene.session.person || entry.body.exercise != id) continue;
    if (!titled) heading(scene.ui, tr("exercise.own"));
    titled = true;
    if (choice_row(scene.ui, {.id = "entry/" + entry.place.id.text(),
                              .label = tree_text(entry.body.tree),
                              .detail = tr("exercise.round", {{"n", whole(entry.body.round)}}) +
                                        ", " + when_text(entry.at_ms(), scene.now_ms())})) {
      scene.want(Go{Stop{ScreenId::entry, scene.block_id(), {}, {}, entry.place.id.text()}});
    }
  }
}

void spread_chart(Scene& scene, const advice::Exercise& result) {
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
  bar_chart(scene.ui, chart);
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

void result_part(Scene& scene, const advice::Exercise& result) {
  heading(scene.ui, tr("exercise.result"));
  const bool good = result.gauge_share < share_good, poor = result.gauge_share > share_poor;
  pill(scene.ui, tr(good ? "exercise.good" : poor ? "exercise.poor" : "exercise.fair"),
       good ? Tone::good : poor ? Tone::caution : Tone::plain);
  strong_line(scene.ui, advice_text(result));
  big_number(scene.ui, whole(result.two_people_limit), tr("exercise.two_people"));
  big_number(scene.ui, whole(result.same_person_limit), tr("exercise.same_person"));
  if (const advice::BlockTarget* target = scene.reckoning.target(scene.season, scene.block_id())) {
    const double band = target->target.spurs_to_leave_per_tree.value * tolerance_of(scene);
    small_print(scene.ui, tr("exercise.band", {{"n", whole(band)}}));
  }
  spread_chart(scene, result);
  heading(scene.ui, tr("exercise.by_person"));
  // A difference that chance alone makes in more than one study of twenty is not held against
  // anybody.
  if (result.p_people > 0.05) paragraph(scene.ui, tr("exercise.no_difference"));
  for (const advice::ExercisePerson& person : result.by_person) {
    scene.ui.open_card();
    strong_line(scene.ui, person_text(scene.season, person.person));
    paragraph(scene.ui, person_line(person));
    if (person.has_limits) {
      small_print(scene.ui, tr("exercise.limits", {{"low", signed_whole(person.limit_low)},
                                                   {"high", signed_whole(person.limit_high)}}));
    }
    scene.ui.close_card(scene.ui.theme().card);
  }
  small_print(scene.ui, tr("exercise.basis", {{"people", whole(result.people)},
                                              {"trees", whole(result.trees)},
                                              {"rounds", whole(result.rounds)}}));
  if (result.left_out > 0) {
    small_print(scene.ui, tr("exercise.left_out", {{"n", whole(result.left_out)}}));
  }
}

// What everybody owes is done by this person: the result for a lead, thanks for the others.
void after_turns(Scene& scene, const advice::ExerciseProgress& now) {
  pill(scene.ui, tr("exercise.through"), Tone::good);
  if (is_pruner(scene)) return paragraph(scene.ui, tr("exercise.lead_has_it"));
  const advice::Exercise& result = scene.reckoning.exercise(scene.season, now.id);
  if (result.complete)
    result_part(scene, result);
  else
    paragraph(scene.ui, tr("exercise.waiting"));
}

void open_turn(Scene& scene, const advice::ExerciseTurn& turn, const std::string& id) {
  scene.want(OpenCount{CountPurpose::exercise, scene.block_id(), turn.tree, id, turn.round});
}

// A tree that is new to the exercise: near the last one, to be changed on the count itself.
void open_new_tree(Scene& scene, const advice::ExerciseProgress& now, const std::string& id) {
  const ledger::BlockSeason* block = scene.block();
  orchard::TreeAddress tree{1, 1};
  if (!now.trees.empty() && now.id == id)
    tree = {now.trees.back().row, now.trees.back().tree + 1};
  else if (block && !block->tag_counts.empty())
    tree = block->tag_counts.back().body.tree;
  open_turn(scene, {tree, 0}, id);
}

}  // namespace

void draw_exercise(Scene& scene) {
  const advice::ExerciseProgress& now =
      scene.reckoning.exercise_now(scene.season, scene.block_id());
  const auto next = now.next_for(scene.session.person);
  const bool begun = !now.trees.empty();
  const bool may_add = begun && !is_pruner(scene) && now.trees.size() < trees_max;
  std::vector<widgets::Action> actions;
  if (next) {
    actions.push_back({.id = "turn", .label = tr("home.count"), .weight = 1.4f});
  } else if (!begun) {
    actions.push_back({.id = "first", .label = tr("exercise.first")});
  }
  if (may_add && next) {
    actions.push_back({.id = "add", .label = tr("exercise.add"), .kind = Kind::quiet});
  }
  open(scene, {.key = "exercise", .title = tr("exercise.title"), .actions = actions,
               .full = true});
  save_state(scene);
  unfinished(scene);
  if (!begun) {
    empty_state(scene.ui, {.id = "none", .glyph = Glyph::level,
                           .text = tr("exercise.empty")});
    scene.ui.open_card();
    paragraph(scene.ui, tr("exercise.how"));
    scene.ui.close_card(scene.ui.theme().card);
  } else {
    if (next)
      turn_card(scene, *next, now.left_for(scene.session.person));
    else
      after_turns(scene, now);
    people_part(scene, now);
    own_counts(scene, now.id);
    if (!next && may_add) {
      if (button(scene.ui, {.id = "add", .label = tr("exercise.add"), .kind = Kind::quiet})) {
        open_new_tree(scene, now, now.id);
      }
      if (button(scene.ui, {.id = "new", .label = tr("exercise.new"), .kind = Kind::quiet})) {
        open_new_tree(scene, now, new_id('e', scene.now_ms()));
      }
    }
  }
  if (scene.bar.action == "turn" && next) open_turn(scene, *next, now.id);
  if (scene.bar.action == "add") open_new_tree(scene, now, now.id);
  if (scene.bar.action == "first") open_new_tree(scene, now, new_id('e', scene.now_ms()));
  finish(scene);
}

}  // namespace nthtree::screens
