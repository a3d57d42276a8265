// SPDX-License-Identifier: Apache-2.0
// The pruner's first screen: what to leave, which tree is next, how it stands. No statistics.
#include "advice/judged/this_tree.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/parts.h"
#include "screens/parts/rows.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void what_to_leave(Scene& scene) {
  const advice::BlockTarget* target = scene.reckoning.target(scene.season, scene.block_id());
  if (!target) {
    notice(scene.ui, {.id = "no_target", .tone = Tone::caution, .text = tr("home.no_target")});
    return;
  }
  const advice::TreeBand band = advice::tree_band(
      target->target.spurs_to_leave_per_tree.value, tolerance_of(scene));
  strong_line(scene.ui, tr("home.leave"));
  big_number(scene.ui, whole(band.target),
             tr("home.leave_range", {{"low", whole(band.low)}, {"high", whole(band.high)}}));
}

std::string how_far(const advice::NextTree& next) {
  if (next.trees_ahead <= 0) return tr("home.next_here");
  const std::string ahead = tr_count("home.next_ahead", next.trees_ahead);
  return next.same_row ? ahead : ahead + ", " + tr("home.next_later_row");
}

void next_tree_card(Scene& scene, const advice::NextTree& next) {
  scene.ui.open_card();
  small_print(scene.ui, tr("home.next"));
  if (next.tree.row == 0) {
    strong_line(scene.ui, tr("home.block_end"));
  } else {
    heading(scene.ui, tree_text(next.tree));
    paragraph(scene.ui, how_far(next));
    if (next.due != next.tree) {
      small_print(scene.ui, tr("tree.was_due", {{"tree", tree_in_text(next.due)}}));
    }
  }
  scene.ui.close_card(scene.ui.theme().card);
}

// Somebody who begins in another row says so first: the count opens with its tree to be chosen.
void elsewhere(Scene& scene, const advice::NextTree& next) {
  if (!choice_row(scene.ui, {.id = "elsewhere", .label = tr("home.elsewhere"),
                             .glyph = Glyph::tree})) {
    return;
  }
  const orchard::TreeAddress tree = next.tree.row > 0 ? next.tree : orchard::TreeAddress{1, 1};
  scene.want(OpenCount{CountPurpose::tag, scene.block_id(), tree});
  scene.want(Ask{"tree"});
}

// The row just noted, until the pruner leaves the screen: whether it is on the phone, and the way
// to take it back.
void row_noted(Scene& scene) {
  const LastSave& save = scene.session.last_save;
  const auto* done = std::get_if<ledger::RowDone>(&save.body);
  if (!done || save.state == SaveState::none || !save.record) return;
  save_state(scene);
  if (choice_row(scene.ui, {.id = "row_back",
                            .label = tr("rows.noted", {{"row", row_text(*done)}}),
                            .detail = tr("rows.correct"),
                            .glyph = Glyph::undo})) {
    scene.want(Go{Stop{ScreenId::row_done, done->block, {}, {}, save.record->text()}});
  }
}

bool is_being_noted(const Scene& scene) {
  const LastSave& save = scene.session.last_save;
  return save.state == SaveState::writing && std::holds_alternative<ledger::RowDone>(save.body);
}

// The row whose end comes next: one tap there notes it, and the next row is offered. Practice notes
// none.
RowsToKeep row_at_hand(Scene& scene) {
  const int row = row_at_hand_of(scene);
  if (row == 0 || scene.session.preferences.practice) return {};
  ledger::RowDone done;
  done.block = scene.block_id();
  done.row = row;
  return {{done}};
}

void other_row(Scene& scene) {
  if (choice_row(scene.ui, {.id = "row_other", .label = tr("rows.other"), .glyph = Glyph::check})) {
    scene.go(ScreenId::row_done, scene.block_id());
  }
}

// What is done at a tree, and at a row's end: both stand under the thumb. While a row is being
// written a second tap on the same place would note it twice.
std::vector<widgets::Action> actions_of(Scene& scene, bool counting, const RowsToKeep& rows) {
  std::vector<widgets::Action> actions = {{.id = counting ? "resume" : "count",
                                           .label = tr(counting ? "home.resume" : "home.count"),
                                           .weight = 1.3f}};
  if (!rows.rows.empty()) {
    actions.push_back({.id = "row_done",
                       .label = tr("rows.done", {{"n", whole(rows.rows.front().row)}}),
                       .kind = Kind::quiet,
                       .enabled = !is_being_noted(scene)});
  }
  return actions;
}

// An exercise of this week that still waits for this person.
void exercise_row(Scene& scene) {
  constexpr std::int64_t week_ms = 7 * 86400000LL;
  const advice::ExerciseProgress& now =
      scene.reckoning.exercise_now(scene.season, scene.block_id());
  if (now.trees.empty() || now.began_ms < scene.now_ms() - week_ms) return;
  if (!now.next_for(scene.session.person)) return;
  if (choice_row(scene.ui, {.id = "exercise",
                            .label = tr("exercise.title"),
                            .detail = tr_count("exercise.left",
                                               now.left_for(scene.session.person)),
                            .glyph = Glyph::level})) {
    scene.go(ScreenId::exercise);
  }
}

void more(Scene& scene) {
  menu_row(scene, "my_day", tr("home.my_day"), ScreenId::my_day, Glyph::note);
  menu_row(scene, "brief", tr("home.brief"), ScreenId::brief, Glyph::bud);
  menu_row(scene, "hand_over", tr("hand.title"), ScreenId::hand_over, Glyph::phone);
  last_menu_rows(scene);
}

}  // namespace

void draw_pruner_home(Scene& scene) {
  const advice::NextTree& next = next_tree_of(scene, scene.session.person);
  const bool counting = half_done_count(scene) != nullptr;
  const RowsToKeep rows = row_at_hand(scene);
  open(scene, {.key = "home", .title = block_text(scene.season, scene.block_id()),
               .actions = actions_of(scene, counting, rows), .back = false});
  unfinished(scene, Resume::in_bar);
  const auto standing = [&] {
    row_noted(scene);
    what_to_leave(scene);
    lead_said(scene);
    const ledger::BlockSeason* block = scene.block();
    if (block && last_tag(*block, scene.session.person)) {
      if (!scene.ui.wide()) heading(scene.ui, tr("home.you"));
      verdict_here(scene, "you",
                   scene.reckoning.verdict(scene.season, scene.block_id(), scene.session.person,
                                           scene.now_ms()),
                   false, false);
    }
  };
  side_by_side(scene, standing, [&] {
    next_tree_card(scene, next);
    if (!counting) elsewhere(scene, next);
    if (!rows.rows.empty()) other_row(scene);
    block_line(scene);
    exercise_row(scene);
    more(scene);
  });
  if (scene.bar.action == "row_done") keep_rows(scene, rows);
  if (scene.bar.action == "resume") go_on_counting(scene);
  if (scene.bar.action == "count") {
    const orchard::TreeAddress tree = next.tree.row > 0 ? next.tree : orchard::TreeAddress{1, 1};
    scene.want(OpenCount{CountPurpose::tag, scene.block_id(), tree});
  }
  finish(scene);
  ask_about_rows(scene, rows);
}

}  // namespace nthtree::screens
