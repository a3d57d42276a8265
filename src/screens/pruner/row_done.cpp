// SPDX-License-Identifier: Apache-2.0
// A row that is pruned: any row, one side, a part of it; or one noted before, to correct or take
// back. The usual case, the whole row at hand, is one tap on the pruner's first screen.
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/rows.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

// What a correction begins with, or else the row at hand.
struct Start {
  std::optional<ledger::RecordId> replaces;
  ledger::RowDone done;
};

Start start_of(Frame& frame) {
  Start start;
  const std::string& record = frame.session.here().record;
  if (!record.empty()) {
    if (const RowEntry* entry = row_entry(frame.season, record)) {
      return {entry->position.id, entry->body};
    }
  }
  start.done.block = frame.block_id();
  start.done.row = std::max(1, row_at_hand_of(frame));
  return start;
}

enum class Part { whole, left, right, some };

Part part_of(const ledger::RowDone& done) {
  if (done.side) return *done.side == ledger::RowSide::left ? Part::left : Part::right;
  return done.first_tree || done.last_tree ? Part::some : Part::whole;
}

int number_of(Form& form, const std::string& id, const std::string& label, int value, int most) {
  const auto typed = form.number({.id = id, .label = label, .value = static_cast<double>(value),
                                  .range = {1, static_cast<double>(std::max(1, most))}});
  return typed ? static_cast<int>(*typed) : value;
}

void trees_of(Frame& frame, Form& form, const std::string& key, int length,
              ledger::RowDone& done) {
  const int first = done.first_tree.value_or(1), last = done.last_tree.value_or(length);
  frame.ui.row(
      {1, 1},
      [&] {
        done.first_tree = number_of(form, key + "first", tr("rows.first_tree"), first, length);
      },
      [&] {
        done.last_tree = number_of(form, key + "last", tr("rows.last_tree"),
                                   std::min(last, length), length);
      });
}

ledger::RowDone typed_row(Frame& frame, Form& form, const orchard::Block& block,
                          ledger::RowDone done) {
  const std::string key = "row_done/";
  done.row = number_of(form, key + "row", tr("row"), done.row, block.rows);
  const auto part = static_cast<Part>(
      form.list(key + "part", tr("rows.part"),
                {tr("rows.whole"), tr("rows.left_side"), tr("rows.right_side"), tr("rows.some")},
                static_cast<int>(part_of(done))));
  if (part == Part::left || part == Part::right) small_print(frame.ui, tr("rows.sides"));
  done.side.reset();
  if (part == Part::left) done.side = ledger::RowSide::left;
  if (part == Part::right) done.side = ledger::RowSide::right;
  if (part == Part::some) {
    trees_of(frame, form, key, block.trees_in_row(done.row), done);
  } else {
    done.first_tree.reset();
    done.last_tree.reset();
  }
  done.day = form.date({.id = key + "day", .label = tr("rows.day"), .value = done.day});
  return done;
}

void take_back(Frame& frame, const ledger::RecordId& record) {
  SaveRecords save;
  save.bodies = {ledger::Withdrawal{}};
  save.replaces = record;
  save.from = SaveRecords::From::fields;
  frame.want(save);
}

}  // namespace

void draw_row_done(Frame& frame) {
  const Start start = start_of(frame);
  const orchard::Block* block = frame.settings();
  std::vector<widgets::Action> actions;
  if (block) {
    actions = {{.id = "keep",
                .label = keep_label(frame, tr(start.replaces ? "entry.keep" : "rows.keep"))}};
  }
  open(frame, {.key = "row_done", .title = tr("rows.title"), .actions = actions});
  if (!block) {
    notice(frame.ui, {.id = "none", .tone = Tone::caution, .text = tr("block.waiting")});
    return finish(frame);
  }
  RowsToKeep keep{{}, start.replaces, SaveRecords::From::fields};
  bool ok = false;
  {
    Form form(frame);
    fact(frame.ui, tr("edit.block.title"), block_text(frame.season, start.done.block));
    keep.rows = {typed_row(frame, form, *block, start.done)};
    ok = form.ok();
    if (frame.bar.action == "keep" && !ok) form.show_wrong();
    if (start.replaces && button(frame.ui, {.id = "take_back", .label = tr("rows.take_back"),
                                            .kind = Kind::danger})) {
      frame.want(Ask{"take_back"});
    }
  }
  if (frame.bar.action == "keep" && ok) keep_rows(frame, keep);
  finish(frame);
  ask_about_rows(frame, keep);
  if (asked(frame, "take_back", tr("day.act_question"), row_text(start.done),
            tr("entry.take_back_short"), tr("no")) &&
      start.replaces) {
    take_back(frame, *start.replaces);
  }
}

}  // namespace nthtree::screens
