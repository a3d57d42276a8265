// SPDX-License-Identifier: Apache-2.0
// Counting one tree with a glove on: a very large pad, limb by limb, or a large keypad.
//
// The row with minus, undo and plus five stands between the pad and Save, so that a thumb that
// runs over the pad's edge undoes at worst, and never saves.
#include <cmath>
#include <numeric>

#include "orchard/limits.h"
#include "screens/each_screen.h"
#include "screens/parts/doubt.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/number_choice.h"
#include "screens/parts/parts.h"
#include "screens/parts/size_row.h"
#include "screens/parts/tree_row.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr int number_max = static_cast<int>(orchard::limits::spurs_per_tree.high);

std::string title_of(const CountDraft& draft) {
  if (draft.practice) return tr("count.title.practice");
  if (draft.mends) return tr("count.title.mend");
  switch (draft.purpose) {
    case CountPurpose::tag:
      return tr("count.title.tag");
    case CountPurpose::check:
      return tr("count.title.check");
    case CountPurpose::before:
      return tr("count.title.before");
    case CountPurpose::clusters:
      return tr("count.title.clusters");
    case CountPurpose::harvest:
      return tr("count.title.harvest");
    case CountPurpose::exercise:
      return draft.round > 0 ? tr("exercise.round", {{"n", whole(draft.round)}})
                             : tr("exercise.title");
    case CountPurpose::part:
    case CountPurpose::part_check:
    case CountPurpose::part_clusters:
      return tr("part.title");
    case CountPurpose::return_bloom:
      break;
  }
  return tr("count.title.return_bloom");
}

// What is wrong with the count as it stands, in words; empty where it may be saved.
std::string problem_of(const Frame& frame, const CountDraft& draft) {
  const int spurs = draft.spurs();
  if (spurs > number_max || draft.second() > number_max) {
    return tr("count.too_many", {{"value", whole(std::max(spurs, draft.second()))},
                                 {"high", whole(number_max)}});
  }
  if (draft.purpose == CountPurpose::return_bloom && spurs > draft.second() &&
      !draft.second_digits.empty()) {
    return tr("count.floral_too_many",
              {{"value", whole(spurs)}, {"high", whole(draft.second())}});
  }
  const ledger::BlockSeason* block = frame.season.block(draft.block);
  if (block && block->block && !block->block->has(draft.tree)) {
    return no_tree_text(*block->block, draft.tree);
  }
  return "";
}

bool may_save(const Frame& frame, const CountDraft& draft) {
  return problem_of(frame, draft).empty() && !is_tree_typed_wrong(frame, draft);
}

ledger::Body body_of(const CountDraft& draft) {
  const int spurs = draft.spurs();
  switch (draft.purpose) {
    case CountPurpose::check:
      return ledger::CheckCount{draft.block, draft.tree, spurs, draft.seconds()};
    case CountPurpose::before:
      return ledger::BeforeCount{draft.block, draft.tree, spurs};
    case CountPurpose::clusters:
      return ledger::ClusterCount{draft.block, draft.tree, spurs, draft.second()};
    case CountPurpose::harvest:
      return ledger::HarvestCount{draft.block, draft.tree, spurs};
    case CountPurpose::return_bloom:
      return ledger::ReturnBloom{draft.block, draft.tree, spurs,
                                 std::max(spurs, draft.second())};
    case CountPurpose::exercise:
      return ledger::ExerciseCount{draft.exercise, draft.block, draft.tree,
                                   std::max(1, draft.round), spurs};
    case CountPurpose::part:
    case CountPurpose::part_check:
    case CountPurpose::part_clusters:  // saved by their own screen
    case CountPurpose::tag:
      break;
  }
  ledger::TagCount tag;
  tag.block = draft.block;
  tag.tree = draft.tree;
  tag.seconds = draft.seconds();
  tag.spurs = spurs;
  if (draft.way == CountWay::limbs && draft.limbs.size() > 1) tag.limbs = draft.limbs;
  if (draft.mends) {
    tag.spurs_after_mend = spurs;
    tag.spurs = draft.spurs_before_mend;
    tag.limbs = draft.limbs_before_mend;
    tag.seconds = draft.seconds_before_mend;
    tag.mend_seconds = draft.mend_seconds;
  }
  return tag;
}

void keep(Frame& frame, const CountDraft& draft) {
  SaveRecords records;
  records.bodies = {body_of(draft)};
  add_size(draft, records.bodies);
  records.replaces = draft.mends;
  records.from = SaveRecords::From::count;
  frame.want(records);
}

void keep_unless_odd(Frame& frame, const CountDraft& draft) {
  const bool odd = doubt_about(frame, body_of(draft), draft.spurs()).why !=
                   advice::CountDoubt::Why::none;
  odd ? frame.want(Ask{"odd"}) : keep(frame, draft);
}

void save(Frame& frame, const CountDraft& draft) {
  if (!may_save(frame, draft)) return;
  if (draft.practice) return frame.want(FinishPractice{});
  if (is_second_unsaid(draft)) return frame.want(Ask{"none"});
  keep_unless_odd(frame, draft);
}

bool has_ways(const CountDraft& draft) {
  return !has_second(draft.purpose) && draft.purpose != CountPurpose::harvest;
}

bool has_room_beside_tree(const Frame& frame) {
  return !frame.ui.wide() && frame.ui.theme().look.text_scale < 1.1f &&
         frame.session.asking != "tree";
}

// What counts as a spur, as a drawing, one tap from the pad.
void what_counts_button(Frame& frame) {
  if (button(frame.ui, {.id = "what", .label = tr("count.what_short"), .kind = Kind::quiet})) {
    frame.go(ScreenId::what_counts);
  }
}

void way_row(Frame& frame, const CountDraft& draft) {
  std::vector<widgets::Choice> ways = {{"way_tap", tr("count.way.tap")},
                                       {"way_limbs", tr("count.way.limbs")},
                                       {"way_type", tr("count.way.keypad")}};
  const int now = static_cast<int>(draft.way);
  const int chosen = segments(frame.ui, {.id = "way",
                                         .label = tr("count_noun"),
                                         .items = ways,
                                         .selected = now,
                                         .hide_label = true,
                                         .tabs = true});
  if (chosen != now) frame.want(ChooseWay{static_cast<CountWay>(chosen)});
}

std::string caption_of(const CountDraft& draft) {
  if (has_second(draft.purpose)) return "";  // the choice above the pad says it
  if (draft.way != CountWay::limbs) return unit_of(draft);
  return tr("count.limb_sum",
            {{"n", whole(static_cast<double>(draft.limbs.size()))}, {"sum", whole(draft.spurs())}});
}

void hand_keys(Frame& frame, const CountDraft& draft) {
  const float tall = frame.ui.theme().target + 8;
  const auto key = [&](const char* id, const std::string& label, bool enabled) {
    return button(frame.ui, {.id = id, .label = label, .kind = Kind::quiet, .enabled = enabled,
                             .height = tall});
  };
  const auto minus = [&] {
    if (const int n = key("minus", "−1", draft.spurs() > 0)) frame.want(Taps{-1, n});
  };
  const auto undo = [&] {
    const int n = key("undo", tr("count.undo"), !draft.steps.empty());
    for (int i = 0; i < n; ++i) frame.want(UndoTap{});
  };
  const auto five = [&] {
    if (const int n = key("five", "+5", true)) frame.want(Taps{5, n});
  };
  if (frame.ui.wide() && frame.ui.theme().look.text_scale > 1.2f) {
    frame.ui.hand_row({1, 1}, minus, five);  // half a lying screen is narrow for large letters
    undo();
  } else {
    frame.ui.hand_row({0.8f, 1.7f, 0.8f}, minus, undo, five);
  }
}

void next_limb_key(Frame& frame) {
  if (button(frame.ui, {.id = "next_limb",
                        .label = tr("count.next_limb"),
                        .kind = Kind::quiet,
                        .glyph = Glyph::forward,
                        .height = frame.ui.theme().target + 8})) {
    frame.want(NextLimb{});
  }
}

bool types_now(const CountDraft& draft) {
  return draft.way == CountWay::keypad || (draft.on_second && has_second(draft.purpose));
}

std::string typed_now(const CountDraft& draft) {
  const std::string& typed = draft.on_second ? draft.second_digits : draft.digits;
  return typed.empty() && !draft.on_second ? whole(draft.spurs()) : typed;
}

// The pad or the keypad. On a wide screen the hand keys stand in the other column.
void pad_part(Frame& frame, const CountDraft& draft) {
  const bool wide = frame.ui.wide();
  if (types_now(draft)) {
    const std::string keys = keypad(
        frame.ui,
        {.id = "keypad", .label = unit_of(draft), .value = typed_now(draft), .hide_value = wide});
    for (char key : keys) frame.want(Digit{key});
    return;
  }
  const bool limbs = draft.way == CountWay::limbs;
  const float one = frame.ui.theme().target + 8 + frame.ui.theme().gap;
  const int taps = tap_pad(frame.ui, {.id = "pad",
                                      .label = tr("count.one"),
                                      .value = whole(limbs ? draft.limbs.back() : draft.spurs()),
                                      .caption = caption_of(draft),
                                      .leave = (wide ? 0 : one) + (limbs ? one : 0),
                                      .height_min = wide ? 120.0f : 200.0f});
  if (taps > 0) frame.want(Taps{1, taps});
  if (!wide) hand_keys(frame, draft);
  if (limbs) next_limb_key(frame);
}

// Where letters are large or the phone lies there is no room beside the tree: below everything.
void what_counts_below(Frame& frame, const CountDraft& draft) {
  if (has_ways(draft) && !has_room_beside_tree(frame)) what_counts_button(frame);
}

void info_part(Frame& frame, const CountDraft& draft) {
  other_tab(frame);
  if (has_ways(draft) && has_room_beside_tree(frame)) {
    frame.ui.row({1, 0.45f}, [&] { tree_row(frame, draft); }, [&] { what_counts_button(frame); });
  } else {
    tree_row(frame, draft);
  }
  const std::string problem = problem_of(frame, draft);
  // While the tree is changed, or something is wrong, the keys below must not slide off the screen.
  const bool needs_room = frame.session.asking == "tree" || !problem.empty();
  if (has_second(draft.purpose))
    number_choice(frame, draft);
  else if (has_ways(draft) && !needs_room)
    way_row(frame, draft);
  if (!problem.empty()) {
    notice(frame.ui, {.id = "problem", .tone = Tone::trouble, .text = problem, .live = true});
  }
  const ledger::BlockSeason* block = frame.season.block(draft.block);
  const TagEntry* before = block && draft.purpose == CountPurpose::tag && !draft.mends
                               ? tag_of(*block, draft.tree, frame.session.person)
                               : nullptr;
  const int counted = std::accumulate(draft.limbs.begin(), draft.limbs.end(), 0);
  if (draft.way == CountWay::keypad && !draft.digits.empty() && counted > 0) {
    small_print(frame.ui, tr("count.stands_by", {{"n", whole(counted)}}));
  }
  const bool untouched = draft.purpose == CountPurpose::tag && !draft.mends && !draft.practice &&
                         draft.empty() && !needs_room;
  if (untouched) size_row(frame, draft);
  const bool offers = untouched && !frame.ui.wide();
  if (offers && button(frame.ui, {.id = "some_limbs", .label = tr("part.offer"),
                                  .kind = Kind::quiet})) {
    frame.want(OpenCount{CountPurpose::part, draft.block, draft.tree});
  }
  if (before) small_print(frame.ui, tr("count.already", {{"n", whole(before->body.spurs)}}));
}

std::string save_label(const CountDraft& draft) {
  const std::string sum = whole(draft.spurs());
  return draft.practice ? tr("count.finish_practice", {{"n", sum}})
                        : tr("count.save", {{"n", sum}});
}

// Half a lying screen is narrow for large letters.
std::string short_save_label(const Frame& frame, const CountDraft& draft) {
  if (draft.practice || frame.ui.theme().look.text_scale <= 1.2f) return save_label(draft);
  return tr("count.save_short", {{"n", whole(draft.spurs())}});
}

// Before the first spur there is nothing to throw away: then it may be said that no tree stands
// here. A practice count is of no tree, and where the tree is given no other takes its place.
widgets::Action second_action(const Frame& frame, const CountDraft& draft) {
  const bool open = draft.empty() && !draft.practice && !is_of_one_tree(draft) &&
                    draft.purpose != CountPurpose::check && frame.season.block(draft.block);
  if (open) return {.id = "no_tree", .label = tr("tree.none_here"), .kind = Kind::quiet};
  return {.id = "throw", .label = tr("count.throw_short"), .kind = Kind::quiet,
          .enabled = !draft.empty()};
}

void take_second(Frame& frame, const CountDraft& draft, const std::string& action) {
  if (action == "throw") frame.want(Ask{"throw"});
  if (action == "no_tree") {
    frame.want(Go{Stop{ScreenId::no_tree, draft.block, {}, draft.tree, {}}});
  }
}

// A lying phone has no height to spare for a bar: what ends the count stands beside the pad.
void wide_count(Frame& frame, const CountDraft& draft) {
  frame.ui.hand_row(
      {1, 1.4f},
      [&] {
        info_part(frame, draft);
        if (types_now(draft))
          fact(frame.ui, unit_of(draft), typed_now(draft));
        else
          hand_keys(frame, draft);
        frame.ui.row(
            {1, 1.15f},
            [&] {
              const widgets::Action second = second_action(frame, draft);
              if (button(frame.ui, {.id = second.id, .label = second.label, .kind = second.kind,
                                    .enabled = second.enabled})) {
                take_second(frame, draft, second.id);
              }
            },
            [&] {
              if (button(frame.ui, {.id = "save",
                                    .label = short_save_label(frame, draft),
                                    .enabled = may_save(frame, draft)})) {
                save(frame, draft);
              }
            });
        what_counts_below(frame, draft);
      },
      [&] { pad_part(frame, draft); });
}

}  // namespace

void draw_count(Frame& frame) {
  if (!frame.session.drafts.count) {  // thrown away, or saved from another place
    frame.want(Back{});
    open(frame, {.key = "count_gone", .title = tr("count.title.tag")});
    finish(frame);
    return;
  }
  const CountDraft& draft = *frame.session.drafts.count;
  if (draft.is_part()) return draw_part_count(frame);
  std::vector<widgets::Action> actions;
  if (!frame.ui.wide()) {
    actions = {{.id = "save",
                .label = save_label(draft),
                .enabled = may_save(frame, draft),
                .weight = 1.7f},
               second_action(frame, draft)};
  }
  open(frame, {.key = "count", .title = title_of(draft), .actions = actions});
  if (frame.ui.wide()) {
    wide_count(frame, draft);
  } else {
    info_part(frame, draft);
    pad_part(frame, draft);
    what_counts_below(frame, draft);
  }
  if (frame.bar.action == "save") save(frame, draft);
  take_second(frame, draft, frame.bar.action);
  finish(frame);
  if (asked(frame, "throw", tr("count.throw"),
            tr("count.throw_question",
               {{"n", whole(draft.spurs())}, {"tree", tree_in_text(draft.tree)}}),
            tr("count.throw_yes"), tr("count.throw_no"))) {
    frame.want(DropDraft{});
  }
  if (none_accepted(frame, draft)) keep_unless_odd(frame, draft);
  if (frame.session.asking == "odd" &&
      odd_number_accepted(frame, doubt_about(frame, body_of(draft), draft.spurs()), draft.spurs(),
                          save_label(draft))) {
    keep(frame, draft);
  }
}

}  // namespace nthtree::screens
