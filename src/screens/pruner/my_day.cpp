// SPDX-License-Identifier: Apache-2.0
// What one person counted today, and how many trees they pruned in which time (for the pace).
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/form.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void work_part(Scene& scene) {
  heading(scene.ui, tr("day.worked"));
  for (const auto& [id, block] : scene.season.blocks()) {
    for (const auto& spell : block.work_spells) {
      if (spell.withdrawn || spell.author != scene.session.person) continue;
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

}  // namespace

void draw_my_day(Scene& scene) {
  open(scene, {.key = "my_day", .title = tr("day.title")});
  save_state(scene);
  const auto counts = [&] { counts_part(scene); };
  const auto work = [&] { work_part(scene); };
  side_by_side(scene, counts, work);
  finish(scene);
}

}  // namespace nthtree::screens
