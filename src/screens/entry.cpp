// SPDX-License-Identifier: Apache-2.0
// One saved count: correct its number, or take it back. Both are new records; nothing is erased.
#include "screens/each_screen.h"
#include "screens/entries.h"
#include "screens/form.h"
#include "screens/parts.h"
#include "screens/scene.h"
#include "screens/wording.h"

namespace nthtree::screens {
namespace {

// The same count with another number. Limbs no longer add up and are left out.
ledger::Body corrected(const ledger::Body& body, int number) {
  ledger::Body out = body;
  if (auto* tag = std::get_if<ledger::TagCount>(&out)) {
    tag->spurs = number;
    tag->limbs.clear();
  } else if (auto* check = std::get_if<ledger::CheckCount>(&out))
    check->spurs = number;
  else if (auto* before = std::get_if<ledger::BeforeCount>(&out))
    before->spurs = number;
  else if (auto* clusters = std::get_if<ledger::ClusterCount>(&out))
    clusters->floral_clusters = number;
  else if (auto* harvest = std::get_if<ledger::HarvestCount>(&out))
    harvest->fruits = number;
  else if (auto* bloom = std::get_if<ledger::ReturnBloom>(&out))
    bloom->floral_spurs = number;
  return out;
}

int number_limit(const ledger::Body& body) {
  const auto* bloom = std::get_if<ledger::ReturnBloom>(&body);
  return bloom ? bloom->spurs : 5000;
}

void facts(Scene& scene, const CountLine& line, const ledger::Body& body) {
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

}  // namespace

void draw_entry(Scene& scene) {
  const std::string& record = scene.session.here().record;
  const CountLine line = count_line(scene.season, record);
  const bool there = line.id.sequence > 0;
  const bool open_entry = there && !line.withdrawn;
  std::vector<widgets::Action> actions;
  if (open_entry) actions.push_back({.id = "keep", .label = tr("entry.keep")});
  open(scene, {.key = "entry", .title = tr("entry.title"), .actions = actions});
  if (!there) {
    paragraph(scene.ui, tr("entry.gone"));
    finish(scene);
    return;
  }
  const ledger::Body body = body_of(scene.season, record);
  facts(scene, line, body);
  if (open_entry) {
    Form form(scene);
    const auto typed = form.number({.id = "entry/" + record,
                                    .label = tr("entry.number"),
                                    .value = static_cast<double>(line.number),
                                    .low = 0,
                                    .high = static_cast<double>(number_limit(body))});
    if (button(scene.ui,
               {.id = "take_back", .label = tr("entry.take_back"), .kind = Kind::danger})) {
      scene.want(Ask{"take_back"});
    }
    if (scene.bar.action == "keep") {
      SaveRecords save;
      save.replaces = line.id;
      save.from = SaveRecords::From::fields;
      if (!typed)
        scene.want(TryFields{});
      else if (static_cast<int>(*typed) == line.number)
        scene.want(Back{});
      else {
        save.bodies = {corrected(body, static_cast<int>(*typed))};
        scene.want(save);
      }
    }
  }
  finish(scene);
  if (asked(scene, "take_back", tr("entry.take_back"),
            tr("entry.take_back_question",
               {{"n", whole(line.number)}, {"tree", tree_in_text(line.tree)}}),
            tr("entry.take_back"), tr("no"))) {
    SaveRecords save;
    save.bodies = {ledger::Withdrawal{}};
    save.replaces = line.id;
    save.from = SaveRecords::From::fields;
    scene.want(save);
  }
}

}  // namespace nthtree::screens
