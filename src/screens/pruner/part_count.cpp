// SPDX-License-Identifier: Apache-2.0
// Some limbs of a tree: first how many limbs it has, by the rule that the drawing shows; then the
// app says which, and they are counted one after another, from the bottom up. Of clusters the limbs
// counted in winter are offered, and after the last limb spurs without flowers are asked for.
#include <algorithm>

#include "orchard/limits.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/limb_draft.h"
#include "screens/parts/number_choice.h"
#include "screens/parts/parts.h"
#include "screens/parts/size_row.h"
#include "screens/parts/tree_row.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

namespace limits = orchard::limits;

int typed_limbs(const CountDraft& draft) {
  int limbs = 0;
  for (const char digit : draft.digits) limbs = 10 * limbs + (digit - '0');
  return limbs;
}

std::string limbs_problem(const CountDraft& draft) {
  if (draft.digits.empty() || limits::limbs_numbered.holds(typed_limbs(draft))) return "";
  return tr("part.limbs_wrong", {{"value", whole(typed_limbs(draft))},
                                 {"low", whole(limits::limbs_numbered.low)},
                                 {"high", whole(limits::limbs_numbered.high)}});
}

std::string limbs_problem_there(const Frame& frame, const CountDraft& draft) {
  if (draft.purpose == CountPurpose::part_check) return tr("part.no_draw");
  const ledger::BlockSeason* block = frame.season.block(draft.block);
  if (block && block->block && !block->block->has(draft.tree)) {
    return no_tree_text(*block->block, draft.tree);
  }
  return limbs_problem(draft);
}

// Before the count, one says what one sees; of a tree that was scored already, nothing is asked.
void look_row(Frame& frame, const CountDraft& draft) {
  const ledger::BlockSeason* block = frame.season.block(draft.block);
  const bool asked_for = draft.purpose == CountPurpose::part && block &&
                         !is_scored(*block, draft.tree, frame.session.person);
  if (asked_for && choice_row(frame.ui, {.id = "look_first", .label = tr("eye.first"),
                                         .glyph = Glyph::eye})) {
    frame.want(Go{{ScreenId::walk, draft.block, frame.session.person, draft.tree, {}}});
  }
}

// What is left of the view for the drawing once keypad and rows have theirs.
float picture_height(const Frame& frame) {
  const float target = frame.ui.theme().target;
  const float keys = frame.ui.fonts().height(widgets::Type::huge) + 5 * (target + 10);
  return std::clamp(frame.ui.room() - keys - 2 * target, 130.0f, 240.0f);
}

std::string numbers_of(const orchard::LimbDraw& draw) {
  std::string text;
  for (int i = 0; i < draw.drawn(); ++i) {
    text += (i == 0 ? "" : " · ") + std::to_string(draw.limb(i));
  }
  return text;
}

// How many limbs; or, of clusters, whether the winter's again.
std::string limbs_question(const CountDraft& draft, const orchard::LimbDraw& winter) {
  if (winter.limbs == 0 || !draft.digits.empty()) return tr("part.how_many");
  return tr("part.winter", {{"limbs", numbers_of(winter)}, {"all", whole(winter.limbs)}});
}

// The first step: the rule as a drawing, and how many limbs there are.
void ask_limbs(Frame& frame, const CountDraft& draft) {
  const std::string problem = limbs_problem_there(frame, draft);
  const orchard::LimbDraw winter = winters_draw(frame.season, draft);
  const bool may_draw = problem.empty() && (!draft.digits.empty() || winter.limbs > 0) &&
                        !is_tree_typed_wrong(frame, draft);
  open(frame, {.key = "part", .title = tree_text(draft.tree),
               .actions = {{.id = "draw", .label = tr("part.draw"), .enabled = may_draw}}});
  const bool elsewhere = frame.session.asking == "tree";
  const auto picture = [&] {
    if (elsewhere) tree_row(frame, draft);
    widgets::limb_picture(frame.ui, {.id = "rule", .label = tr("part.rule"),
                                     .height = picture_height(frame)});
  };
  const auto answer = [&] {
    if (!problem.empty()) {
      notice(frame.ui, {.id = "problem", .tone = Tone::trouble, .text = problem, .live = true});
    } else {
      strong_line(frame.ui, limbs_question(draft, winter));
    }
    if (draft.purpose == CountPurpose::part_check) return;
    const std::string keys = keypad(frame.ui, {.id = "keypad", .label = tr("part.how_many"),
                                               .value = draft.digits,
                                               .leave = frame.ui.theme().target});
    for (const char key : keys) frame.want(Digit{key});
    if (draft.purpose == CountPurpose::part) size_row(frame, draft);
    look_row(frame, draft);
    if (!elsewhere) tree_row(frame, draft);
    if (draft.empty() && button(frame.ui, {.id = "whole_tree", .label = tr("part.whole"),
                                           .kind = Kind::quiet})) {
      frame.want(OpenCount{draft.purpose == CountPurpose::part ? CountPurpose::tag
                                                               : CountPurpose::clusters,
                           draft.block, draft.tree});
    }
  };
  side_by_side(frame, picture, answer);
  if (frame.bar.action == "draw" && may_draw) frame.want(DrawLimbs{});
  finish(frame);
}

void save_part(Frame& frame, const CountDraft& draft) {
  if (draft.practice) return frame.want(FinishPractice{});
  const ledger::LimbCounts counted{draft.draw, draft.limbs, draft.seconds()};
  SaveRecords records;
  records.from = SaveRecords::From::count;
  if (draft.purpose == CountPurpose::part_check) {
    records.bodies = {ledger::PartCheck{draft.block, draft.tree, counted}};
  } else if (draft.purpose == CountPurpose::part_clusters) {
    records.bodies = {ledger::PartClusters{draft.block, draft.tree, counted, draft.second()}};
  } else {
    records.bodies = {ledger::PartCount{draft.block, draft.tree, counted}};
  }
  add_size(draft, records.bodies);
  frame.want(records);
}

void limb_keys(Frame& frame, const CountDraft& draft) {
  const float tall = frame.ui.theme().target + 8;
  frame.ui.hand_row(
      {0.8f, 1.7f},
      [&] {
        const int n = button(frame.ui, {.id = "minus", .label = "−1", .kind = Kind::quiet,
                                        .enabled = draft.limbs.back() > 0, .height = tall});
        if (n) frame.want(Taps{-1, n});
      },
      [&] {
        const int n = button(frame.ui, {.id = "undo", .label = tr("count.undo"),
                                        .kind = Kind::quiet, .enabled = !draft.steps.empty(),
                                        .height = tall});
        for (int i = 0; i < n; ++i) frame.want(UndoTap{});
      });
}

// Large letters leave the pad no room: then numbers alone say which limbs, and what is needed less
// stands below the pad.
bool is_short_of_room(const Frame& frame) {
  return !frame.ui.wide() && frame.ui.theme().look.text_scale > 1.2f;
}

// Which limbs, in words and numbers, and the way to number them again.
void draw_row(Frame& frame, const CountDraft& draft) {
  const orchard::LimbDraw& draw = draft.draw;
  const bool is_check = draft.purpose == CountPurpose::part_check;
  const std::string numbers = numbers_of(draw) + "  / " + whole(draw.limbs);
  const bool few_words = is_short_of_room(frame);
  if (choice_row(frame.ui,
                 {.id = "limbs",
                  .label = few_words ? numbers
                                     : tr("part.drawn", {{"start", whole(draw.start)},
                                                         {"step", whole(draw.step)}}),
                  .detail = few_words ? "" : numbers,
                  .trailing = is_check ? "" : tr("change"),
                  .arrow = false,
                  .enabled = !is_check,
                  .glyph = Glyph::tree})) {
    if (draft.steps.empty()) {
      frame.want(DrawLimbs{true});
    } else {
      frame.want(Ask{"limbs"});
    }
  }
}

// What leads on: to the next limb, to the spurs without flowers, or to the end.
widgets::Action way_on(const CountDraft& draft) {
  const int counted = static_cast<int>(draft.limbs.size());
  const bool asks_second =
      has_second(draft.purpose) && !draft.on_second && draft.second_digits.empty();
  if (!draft.all_drawn_counted()) {
    return {.id = "next_limb",
            .label = tr("part.next", {{"n", whole(draft.draw.limb(counted))}}),
            .weight = 1.7f};
  }
  if (asks_second) return {.id = "no_flowers", .label = tr("part.next_second"), .weight = 1.7f};
  const double tree = orchard::tree_of_limbs(draft.limbs, draft.draw.limbs);
  const double most = limits::spurs_per_tree.high;
  return {.id = "save",
          .label = tr(draft.practice ? "count.finish_practice" : "part.save",
                      {{"n", whole(tree)}}),
          .enabled = draft.spurs() <= most && draft.second() <= most,
          .weight = 1.7f};
}

void second_pad(Frame& frame, const CountDraft& draft) {
  small_print(frame.ui, tr("part.second"));
  const std::string keys = keypad(frame.ui, {.id = "keypad", .label = tr("part.second"),
                                             .value = draft.second_digits});
  for (const char key : keys) frame.want(Digit{key});
}

// The pad of the limb in hand, or the keypad of what carries no flowers on all of them.
void limb_pad(Frame& frame, const CountDraft& draft) {
  const int at = static_cast<int>(draft.limbs.size()) - 1;
  const bool two = has_second(draft.purpose);
  const bool choice_below = is_short_of_room(frame) && !draft.all_drawn_counted();
  if (two && !choice_below) number_choice(frame, draft);
  if (draft.on_second) {
    second_pad(frame, draft);
    if (choice_below) number_choice(frame, draft);
    return;
  }
  const float below = frame.ui.theme().target + 8 + frame.ui.theme().gap;
  const int taps = tap_pad(
      frame.ui, {.id = "pad", .label = tr("count.one"), .value = whole(draft.limbs.back()),
                 .caption = tr("part.limb_of", {{"n", whole(draft.draw.limb(at))},
                                                {"at", whole(at + 1)},
                                                {"all", whole(draft.draw.drawn())}}),
                 .leave = below, .height_min = frame.ui.wide() ? 120.0f : 180.0f});
  if (taps > 0) frame.want(Taps{1, taps});
  limb_keys(frame, draft);
  if (two && choice_below) number_choice(frame, draft);
}

// The second step: limb after limb.
void count_limbs(Frame& frame, const CountDraft& draft) {
  const int limb = draft.draw.limb(static_cast<int>(draft.limbs.size()) - 1);
  const widgets::Action go_on = way_on(draft);
  open(frame, {.key = "part_limbs", .title = tree_text(draft.tree),
               .actions = {go_on, {.id = "throw", .label = tr("count.throw_short"),
                                   .kind = Kind::quiet}}});
  const bool limbs_below = draft.on_second && is_short_of_room(frame);
  const auto which = [&] {
    if (!limbs_below) draw_row(frame, draft);
    if (frame.ui.wide()) {
      widgets::limb_picture(frame.ui, {.id = "drawn", .label = tr("part.rule"),
                                       .limbs = draft.draw.limbs, .start = draft.draw.start,
                                       .step = draft.draw.step, .now = limb, .height = 200});
    }
  };
  side_by_side(frame, which, [&] {
    limb_pad(frame, draft);
    if (limbs_below) draw_row(frame, draft);
  });
  if (frame.bar.action == "save" && go_on.enabled) {
    is_second_unsaid(draft) ? frame.want(Ask{"none"}) : save_part(frame, draft);
  }
  if (frame.bar.action == "no_flowers") frame.want(ChooseNumber{true});
  if (frame.bar.action == "next_limb") frame.want(NextLimb{});
  if (frame.bar.action == "throw") frame.want(Ask{"throw"});
  finish(frame);
  if (none_accepted(frame, draft)) save_part(frame, draft);
  if (asked(frame, "throw", tr("count.throw"),
            tr("count.throw_question", {{"n", whole(draft.spurs())},
                                        {"tree", tree_in_text(draft.tree)}}),
            tr("count.throw_yes"), tr("count.throw_no"))) {
    frame.want(DropDraft{});
  }
  if (asked(frame, "limbs", tr("part.again"), tr("part.again_question"), tr("part.again"),
            tr("count.throw_no"))) {
    frame.want(DrawLimbs{true});
  }
}

}  // namespace

void draw_part_count(Frame& frame) {
  const CountDraft& draft = *frame.session.drafts.count;
  if (draft.draw.limbs > 0) {
    count_limbs(frame, draft);
  } else {
    ask_limbs(frame, draft);
  }
}

}  // namespace nthtree::screens
