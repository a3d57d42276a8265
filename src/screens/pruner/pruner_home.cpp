// SPDX-License-Identifier: Apache-2.0
// The pruner's first screen: what to leave, which tree is next, how it stands. No statistics.
#include "advice/judged/this_tree.h"
#include "base/clock.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/rows.h"
#include "screens/parts/size_row.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void what_to_leave(Frame& frame) {
  const advice::BlockTarget* target = frame.cache.target(frame.season, frame.block_id());
  if (!target) {
    notice(frame.ui, {.id = "no_target", .tone = Tone::caution, .text = tr("home.no_target")});
    return;
  }
  const advice::TreeBand band = advice::tree_band(
      target->target.spurs_to_leave_per_tree.value, tolerance_of(frame));
  strong_line(frame.ui, tr("home.leave"));
  big_number(frame.ui, whole(band.target),
             tr("home.leave_range", {{"low", whole(band.low)}, {"high", whole(band.high)}}));
  if (const std::string sizes = leave_by_size(frame); !sizes.empty()) strong_line(frame.ui, sizes);
}

std::string how_far(const advice::NextTree& next) {
  if (next.trees_ahead <= 0) return tr("home.next_here");
  const std::string ahead = tr_count("home.next_ahead", next.trees_ahead);
  return next.same_row ? ahead : ahead + ", " + tr("home.next_later_row");
}

void next_tree_card(Frame& frame, const advice::NextTree& next) {
  frame.ui.open_card();
  small_print(frame.ui, tr("home.next"));
  if (next.tree.row == 0) {
    strong_line(frame.ui, tr("home.block_end"));
  } else {
    heading(frame.ui, tree_text(next.tree));
    paragraph(frame.ui, how_far(next));
    if (next.due != next.tree) {
      small_print(frame.ui, tr("tree.was_due", {{"tree", tree_in_text(next.due)}}));
    }
  }
  frame.ui.close_card(frame.ui.theme().card);
}

// The row just noted, until the pruner leaves the screen: whether it is on the phone, and the way
// to take it back.
void row_noted(Frame& frame) {
  const LastSave& save = frame.session.last_save;
  const auto* done = std::get_if<ledger::RowDone>(&save.body);
  if (!done || save.state == SaveState::none || !save.record) return;
  save_state(frame);
  if (choice_row(frame.ui, {.id = "row_back",
                            .label = tr("rows.noted", {{"row", row_text(*done)}}),
                            .detail = tr("rows.correct"),
                            .glyph = Glyph::undo})) {
    frame.want(Go{Stop{ScreenId::row_done, done->block, {}, {}, save.record->text()}});
  }
}

bool is_being_noted(const Frame& frame) {
  const LastSave& save = frame.session.last_save;
  return save.state == SaveState::writing && std::holds_alternative<ledger::RowDone>(save.body);
}

// The row whose end comes next: one tap there notes it, and the next row is offered. Practice notes
// none.
RowsToKeep row_at_hand(Frame& frame) {
  const int row = row_at_hand_of(frame);
  if (row == 0 || frame.session.preferences.practice) return {};
  ledger::RowDone done;
  done.block = frame.block_id();
  done.row = row;
  return {{done}};
}

void other_row(Frame& frame) {
  if (choice_row(frame.ui, {.id = "row_other", .label = tr("rows.other"), .glyph = Glyph::check})) {
    frame.go(ScreenId::row_done, frame.block_id());
  }
}

// An exercise of this week that still waits for this person.
void exercise_row(Frame& frame) {
  constexpr std::int64_t week_ms = 7 * base::day_ms;
  const advice::ExerciseProgress& now =
      frame.cache.exercise_now(frame.season, frame.block_id());
  if (now.trees.empty() || now.began_ms < frame.now_ms() - week_ms) return;
  if (!now.next_for(frame.session.person)) return;
  if (choice_row(frame.ui, {.id = "exercise",
                            .label = tr("exercise.title"),
                            .detail = tr_count("exercise.left",
                                               now.left_for(frame.session.person)),
                            .glyph = Glyph::level})) {
    frame.go(ScreenId::exercise);
  }
}

// What is to be counted today, where the farm planned minutes.
void plan_card(Frame& frame) {
  const std::string plan = plan_sentence(plan_here(frame));
  if (plan.empty()) return;
  frame.ui.open_card();
  small_print(frame.ui, tr("plan.today"));
  paragraph(frame.ui, plan);
  frame.ui.close_card(frame.ui.theme().card);
}

// Whole trees, unless the plan is to count some limbs.
CountPurpose purpose_here(Frame& frame) {
  return plan_here(frame).limbs > 0 ? CountPurpose::part : CountPurpose::tag;
}

const char* count_key(Frame& frame) {
  return purpose_here(frame) == CountPurpose::part ? "part.home" : "home.count";
}

void count_next(Frame& frame, const advice::NextTree& next) {
  const orchard::TreeAddress tree = next.tree.row > 0 ? next.tree : orchard::TreeAddress{1, 1};
  frame.want(OpenCount{purpose_here(frame), frame.block_id(), tree});
}

// What is done at a tree, and at a row's end: both stand under the thumb. While a row is being
// written a second tap on the same place would note it twice.
std::vector<widgets::Action> actions_of(Frame& frame, bool counting, const RowsToKeep& rows) {
  std::vector<widgets::Action> actions = {{.id = counting ? "resume" : "count",
                                           .label = tr(counting ? "home.resume" : count_key(frame)),
                                           .weight = 1.3f}};
  if (!rows.rows.empty()) {
    actions.push_back({.id = "row_done",
                       .label = tr("rows.done", {{"n", whole(rows.rows.front().row)}}),
                       .kind = Kind::quiet,
                       .enabled = !is_being_noted(frame)});
  }
  return actions;
}

// Somebody who begins in another row says so first: the count opens with its tree to be chosen.
void elsewhere(Frame& frame, const advice::NextTree& next) {
  if (!choice_row(frame.ui, {.id = "elsewhere", .label = tr("home.elsewhere"),
                             .glyph = Glyph::tree})) {
    return;
  }
  count_next(frame, next);
  frame.want(Ask{"tree"});
}

void more(Frame& frame) {
  if (choice_row(frame.ui, {.id = "look", .label = tr("eye.title"), .glyph = Glyph::eye})) {
    const advice::NextTree& next = next_tree_of(frame, frame.session.person);
    frame.want(Go{{ScreenId::walk, frame.block_id(), frame.session.person, next.tree, {}}});
  }
  menu_row(frame, "my_day", ScreenId::my_day);
  menu_row(frame, "brief", ScreenId::brief);
  menu_row(frame, "hand_over", ScreenId::hand_over);
  last_menu_rows(frame);
}

}  // namespace

void draw_pruner_home(Frame& frame) {
  const advice::NextTree& next = next_tree_of(frame, frame.session.person);
  const bool counting = half_done_count(frame) != nullptr;
  const RowsToKeep rows = row_at_hand(frame);
  open(frame, {.key = "home", .title = block_text(frame.season, frame.block_id()),
               .actions = actions_of(frame, counting, rows), .back = false});
  unfinished(frame, Resume::in_bar);
  const auto standing = [&] {
    row_noted(frame);
    what_to_leave(frame);
    lead_said(frame);
    const ledger::BlockSeason* block = frame.block();
    if (block && last_tree(*block, frame.session.person).row > 0) {
      if (!frame.ui.wide()) heading(frame.ui, tr("home.you"));
      verdict_here(frame, "you",
                   frame.cache.verdict(frame.season, frame.block_id(), frame.session.person,
                                       frame.now_ms()),
                   false, false);
    }
  };
  side_by_side(frame, standing, [&] {
    next_tree_card(frame, next);
    plan_card(frame);
    if (!counting) elsewhere(frame, next);
    if (!rows.rows.empty()) other_row(frame);
    block_line(frame);
    exercise_row(frame);
    more(frame);
  });
  if (frame.bar.action == "row_done") keep_rows(frame, rows);
  if (frame.bar.action == "resume") go_on_counting(frame);
  if (frame.bar.action == "count") count_next(frame, next);
  finish(frame);
  ask_about_rows(frame, rows);
}

}  // namespace nthtree::screens
