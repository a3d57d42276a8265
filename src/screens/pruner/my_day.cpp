// SPDX-License-Identifier: Apache-2.0
// What one person counted today, and how many trees they pruned in which time (for the pace).
#include "ledger/current.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/rows.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void work_part(Frame& frame) {
  heading(frame.ui, tr("day.worked"));
  for (const auto& [id, block] : frame.season.blocks()) {
    for (const auto& spell : ledger::current(block.work_spells)) {
      if (spell.author != frame.session.person) continue;
      if (frame.season.day_of(spell.at_ms()) != frame.today()) continue;
      fact(frame.ui, block_text(frame.season, id),
           tr("day.works", {{"trees", whole(spell.body.trees)},
                            {"hours", number(spell.body.minutes / 60.0, 1)}}));
    }
  }
  Form form(frame);
  const auto trees = form.number({.id = "spell/trees", .label = tr("day.trees"),
                                  .range = {0, 2000}});
  const auto hours = form.number({.id = "spell/hours", .label = tr("day.hours"),
                                  .range = {0.1, 24}, .decimals = 2});
  if (button(frame.ui, {.id = "keep_work", .label = keep_label(frame, tr("day.keep_work")),
                        .kind = Kind::quiet})) {
    if (form.ok() && trees && hours) {
      SaveRecords save;
      save.bodies = {ledger::WorkSpell{frame.block_id(), static_cast<int>(*trees),
                                       static_cast<int>(*hours * 60 + 0.5)}};
      frame.want(save);
      frame.want(ClearFields{});
    } else {
      form.show_wrong();
    }
  }
}

void counts_part(Frame& frame) {
  const auto& lines =
      frame.cache.lines(frame.season, frame.session.person, frame.today());
  if (lines.empty()) {
    empty_state(frame.ui, {.id = "none", .glyph = Glyph::tree,
                           .text = tr("day.empty")});
    return;
  }
  big_number(frame.ui, whole(static_cast<double>(lines.size())), tr("day.counted"));
  small_print(frame.ui, tr("day.all"));
  for (const CountLine& line : lines) {
    const std::string kind = tr(line.kind_key);
    if (choice_row(frame.ui, {.id = "entry/" + line.id.text(), .label = tree_text(line.tree),
                              .detail = kind + ", " + clock_text(frame.season, line.at_ms),
                              .trailing = whole(line.number)})) {
      frame.want(Go{Stop{ScreenId::entry, line.block, {}, {}, line.id.text()}});
    }
  }
}

std::string words_of(const Frame& frame, const ActLine& act) {
  if (const auto* told = std::get_if<ledger::Advice>(&act.body)) {
    return told_text(*told, person_text(frame.season, told->person));
  }
  if (const auto* progress = std::get_if<ledger::BlockProgress>(&act.body)) {
    return step_text(progress->step);
  }
  if (const auto* stage = std::get_if<ledger::GrowthStage>(&act.body)) {
    return labelled(tr("second.stage"), "BBCH " + std::to_string(stage->bbch));
  }
  if (const auto* spell = std::get_if<ledger::WorkSpell>(&act.body)) {
    return tr("day.works", {{"trees", whole(spell->trees)},
                            {"hours", number(spell->minutes / 60.0, 1)}});
  }
  if (const auto* done = std::get_if<ledger::RowDone>(&act.body)) {
    const bool own = done->person.empty() || done->person == frame.session.person;
    return tr("rows.noted", {{"row", row_text(*done)}}) +
           (own ? "" : ", " + person_text(frame.season, done->person));
  }
  if (const auto* state = std::get_if<ledger::TreeState>(&act.body)) {
    return labelled(tree_text(state->tree), tree_kind_text(state->is));
  }
  const auto* buds = std::get_if<ledger::BudSample>(&act.body);
  if (!buds) return "";
  return tr("day.act_buds", {{"tree", tree_text(buds->tree)},
                             {"floral", whole(buds->floral())},
                             {"all", whole(buds->floral() + buds->vegetative())}});
}

// One tap noted it, so two take it back: a record that withdraws it; nothing is erased.
void acts_part(Frame& frame, const std::vector<ActLine>& acts) {
  if (acts.empty()) return;
  heading(frame.ui, tr("day.acts"));
  small_print(frame.ui, tr("day.acts_text"));
  for (const ActLine& act : acts) {
    // A row may be corrected: it has a screen of its own.
    const bool is_row = std::holds_alternative<ledger::RowDone>(act.body);
    if (!choice_row(frame.ui, {.id = "act/" + act.id.text(), .label = words_of(frame, act),
                               .detail = block_text(frame.season, act.block) + ", " +
                                         clock_text(frame.season, act.at_ms),
                               .arrow = is_row, .glyph = is_row ? Glyph::check : Glyph::undo})) {
      continue;
    }
    if (is_row) {
      frame.want(Go{Stop{ScreenId::row_done, act.block, {}, {}, act.id.text()}});
    } else {
      frame.want(Ask{"act/" + act.id.text()});
    }
  }
}

void ask_about_acts(Frame& frame, const std::vector<ActLine>& acts) {
  for (const ActLine& act : acts) {
    if (!asked(frame, "act/" + act.id.text(), tr("day.act_question"), words_of(frame, act),
               tr("entry.take_back_short"), tr("no"))) {
      continue;
    }
    SaveRecords save;
    save.bodies = {ledger::Withdrawal{}};
    save.replaces = act.id;
    frame.want(save);
  }
}

}  // namespace

void draw_my_day(Frame& frame) {
  open(frame, {.key = "my_day", .title = tr("day.title")});
  save_state(frame);
  const auto counts = [&] { counts_part(frame); };
  const auto acts = act_lines(frame.season, frame.session.person, frame.today());
  const auto rest = [&] {
    acts_part(frame, acts);
    work_part(frame);
  };
  side_by_side(frame, counts, rest);
  finish(frame);
  ask_about_acts(frame, acts);
}

}  // namespace nthtree::screens
