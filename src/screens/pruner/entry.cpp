// SPDX-License-Identifier: Apache-2.0
// One saved count: correct its number, or take it back. Both are new records; nothing is erased.
#include "orchard/limits.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/form.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

double number_limit(const ledger::Body& body) {
  const auto* bloom = std::get_if<ledger::ReturnBloom>(&body);
  return bloom ? bloom->spurs : orchard::limits::spurs_per_tree.high;
}

// A count of an exercise keeps its number to itself: it can be taken back and made anew.
bool is_blind(const ledger::Body& body) {
  return std::holds_alternative<ledger::ExerciseCount>(body);
}

void facts(Scene& scene, const CountLine& line, const ledger::Body& body) {
  if (is_blind(body))
    heading(scene.ui, tr(line.kind_key));
  else
    big_number(scene.ui, whole(line.number), tr(line.kind_key));
  fact(scene.ui, block_text(scene.season, line.block), tree_text(line.tree));
  small_print(scene.ui, tr("entry.by", {{"name", person_text(scene.season, line.author)},
                                        {"time", time_text(scene.season, line.at_ms)}}));
  if (const auto* tag = std::get_if<ledger::TagCount>(&body); tag && tag->spurs_after_mend) {
    small_print(scene.ui, tr("entry.mended", {{"n", whole(*tag->spurs_after_mend)}}));
  }
  if (line.corrected) pill(scene.ui, tr("entry.corrected"), Tone::plain);
  if (line.withdrawn) pill(scene.ui, tr("entry.taken_back"), Tone::caution);
}

void correction(Scene& scene, const CountLine& line, const ledger::Body& body) {
  Form form(scene);
  const auto typed = form.number({.id = "entry/" + line.id.text(),
                                  .label = tr("entry.number"),
                                  .value = static_cast<double>(line.number),
                                  .range = {0, number_limit(body)}});
  if (scene.bar.action != "keep") return;
  if (!typed) return form.show_wrong();
  if (static_cast<int>(*typed) == line.number) return scene.want(Back{});
  SaveRecords save;
  save.replaces = line.id;
  save.from = SaveRecords::From::fields;
  save.bodies = {corrected(body, static_cast<int>(*typed))};
  scene.want(save);
}

void ask_to_take_back(Scene& scene, const CountLine& line, bool blind) {
  const std::string tree = tree_in_text(line.tree);
  const std::string text =
      blind ? tr("exercise.take_back_question", {{"tree", tree}})
            : tr("entry.take_back_question", {{"n", whole(line.number)}, {"tree", tree}});
  if (!asked(scene, "take_back", tr("entry.take_back"), text, tr("entry.take_back"), tr("no"))) {
    return;
  }
  SaveRecords save;
  save.bodies = {ledger::Withdrawal{}};
  save.replaces = line.id;
  save.from = SaveRecords::From::fields;
  scene.want(save);
}

}  // namespace

void draw_entry(Scene& scene) {
  const std::string& record = scene.session.here().record;
  const CountLine line = count_line(scene.season, record);
  const ledger::Body body = body_of(scene.season, record);
  const bool there = line.id.sequence > 0;
  const bool open_entry = there && !line.withdrawn;
  const bool blind = is_blind(body);
  std::vector<widgets::Action> actions;
  if (open_entry && !blind) {
    actions.push_back({.id = "keep", .label = keep_label(scene, tr("entry.keep"))});
  }
  open(scene, {.key = "entry", .title = tr("entry.title"), .actions = actions});
  const auto what = [&] {
    there ? facts(scene, line, body) : paragraph(scene.ui, tr("entry.gone"));
  };
  const auto changes = [&] {
    if (open_entry && !blind) correction(scene, line, body);
    if (open_entry && button(scene.ui, {.id = "take_back", .label = tr("entry.take_back"),
                                        .kind = Kind::danger})) {
      scene.want(Ask{"take_back"});
    }
  };
  side_by_side(scene, what, changes);
  finish(scene);
  ask_to_take_back(scene, line, blind);
}

}  // namespace nthtree::screens
