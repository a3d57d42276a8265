// SPDX-License-Identifier: Apache-2.0
// What one person counted today, and how many trees they pruned in which time (for the pace).
#include "ledger/live.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/form.h"
#include "screens/parts/parts.h"
#include "screens/parts/rows.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void work_part(Scene& scene) {
  heading(scene.ui, tr("day.worked"));
  for (const auto& [id, block] : scene.season.blocks()) {
    for (const auto& spell : ledger::live(block.work_spells)) {
      if (spell.author != scene.session.person) continue;
      if (scene.season.day_of(spell.at_ms()) != scene.today()) continue;
      fact(scene.ui, block_text(scene.season, id),
           tr("day.works", {{"trees", whole(spell.body.trees)},
                            {"hours", number(spell.body.minutes / 60.0, 1)}}));
    }
  }
  Form form(scene);
  const auto trees = form.number({.id = "spell/trees", .label = tr("day.trees"),
                                  .range = {0, 2000}});
  const auto hours = form.number({.id = "spell/hours", .label = tr("day.hours"),
                                  .range = {0.1, 24}, .decimals = 2});
  if (button(scene.ui, {.id = "keep_work", .label = keep_label(scene, tr("day.keep_work")),
                        .kind = Kind::quiet})) {
    if (form.ok() && trees && hours) {
      SaveRecords save;
      save.bodies = {ledger::WorkSpell{scene.block_id(), static_cast<int>(*trees),
                                       static_cast<int>(*hours * 60 + 0.5)}};
      scene.want(save);
      scene.want(ClearFields{});
    } else {
      form.show_wrong();
    }
  }
}

void counts_part(Scene& scene) {
  const auto& lines =
      scene.reckoning.lines(scene.season, scene.session.person, scene.today());
  if (lines.empty()) {
    empty_state(scene.ui, {.id = "none", .glyph = Glyph::tree,
                           .text = tr("day.empty")});
    return;
  }
  big_number(scene.ui, whole(static_cast<double>(lines.size())), tr("day.counted"));
  small_print(scene.ui, tr("day.all"));
  for (const CountLine& line : lines) {
    const std::string kind = tr(line.kind_key);
    if (choice_row(scene.ui, {.id = "entry/" + line.id.text(), .label = tree_text(line.tree),
                              .detail = kind + ", " + clock_text(scene.season, line.at_ms),
                              .trailing = whole(line.number)})) {
      scene.want(Go{Stop{ScreenId::entry, line.block, {}, {}, line.id.text()}});
    }
  }
}

std::string words_of(const Scene& scene, const ActLine& act) {
  if (const auto* told = std::get_if<ledger::Advice>(&act.body)) {
    return told_text(*told, person_text(scene.season, told->person));
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
    const bool own = done->person.empty() || done->person == scene.session.person;
    return tr("rows.noted", {{"row", row_text(*done)}}) +
           (own ? "" : ", " + person_text(scene.season, done->person));
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
void acts_part(Scene& scene, const std::vector<ActLine>& acts) {
  if (acts.empty()) return;
  heading(scene.ui, tr("day.acts"));
  small_print(scene.ui, tr("day.acts_text"));
  for (const ActLine& act : acts) {
    // A row may be corrected: it has a screen of its own.
    const bool is_row = std::holds_alternative<ledger::RowDone>(act.body);
    if (!choice_row(scene.ui, {.id = "act/" + act.id.text(), .label = words_of(scene, act),
                               .detail = block_text(scene.season, act.block) + ", " +
                                         clock_text(scene.season, act.at_ms),
                               .arrow = is_row, .glyph = is_row ? Glyph::check : Glyph::undo})) {
      continue;
    }
    if (is_row) {
      scene.want(Go{Stop{ScreenId::row_done, act.block, {}, {}, act.id.text()}});
    } else {
      scene.want(Ask{"act/" + act.id.text()});
    }
  }
}

void ask_about_acts(Scene& scene, const std::vector<ActLine>& acts) {
  for (const ActLine& act : acts) {
    if (!asked(scene, "act/" + act.id.text(), tr("day.act_question"), words_of(scene, act),
               tr("entry.take_back_short"), tr("no"))) {
      continue;
    }
    SaveRecords save;
    save.bodies = {ledger::Withdrawal{}};
    save.replaces = act.id;
    scene.want(save);
  }
}

}  // namespace

void draw_my_day(Scene& scene) {
  open(scene, {.key = "my_day", .title = tr("day.title")});
  save_state(scene);
  const auto counts = [&] { counts_part(scene); };
  const auto acts = act_lines(scene.season, scene.session.person, scene.today());
  const auto rest = [&] {
    acts_part(scene, acts);
    work_part(scene);
  };
  side_by_side(scene, counts, rest);
  finish(scene);
  ask_about_acts(scene, acts);
}

}  // namespace nthtree::screens
