// SPDX-License-Identifier: Apache-2.0
// Fruits at harvest and return bloom the next spring, on the trees tagged in winter: they teach
// the block its own insurance factor.
#include "ledger/live.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void estimate_fact(Scene& scene, const std::string& label, const orchard::Estimate& e,
                   int decimals) {
  fact(scene.ui, label,
       number(e.value, decimals) + " (" +
           tr("range", {{"low", number(e.low, decimals)}, {"high", number(e.high, decimals)}}) +
           ")");
}

}  // namespace

void draw_harvest(Scene& scene) {
  open(scene, {.key = "harvest",
               .title = tr("manager.harvest"),
               .actions = {{.id = "count", .label = tr("harvest.count")}}});
  save_state(scene);
  heading(scene.ui, block_text(scene.season, scene.block_id()));
  paragraph(scene.ui, tr("harvest.text"));
  const ledger::BlockSeason* block = scene.block();
  const advice::Learning& learnt = scene.reckoning.learning(scene.season, scene.block_id());
  if (!block || block->harvest_counts.empty()) {
    empty_state(scene.ui, {.id = "none",
                           .glyph = Glyph::tree,
                           .text = tr("harvest.empty")});
  } else {
    paragraph(scene.ui, reason_text(learnt.reason));
    estimate_fact(scene, tr("harvest.mean"), learnt.fruits_per_tree, 0);
    if (learnt.harvest_trees > 0) {
      estimate_fact(scene, tr("harvest.own"), learnt.own_insurance, 2);
      estimate_fact(scene, tr("harvest.insurance"), learnt.insurance, 2);
      if (learnt.spurs_to_leave_in_hindsight > 0) {
        fact(scene.ui, tr("harvest.hindsight"), whole(learnt.spurs_to_leave_in_hindsight));
      }
    }
    small_print(scene.ui, tr("harvest.thinned"));
    for (const auto& entry : ledger::live_newest_first(block->harvest_counts)) {
      fact(scene.ui, tree_text(entry.body.tree), whole(entry.body.fruits));
    }
  }
  if (block && scene.bar.action == "count") {
    scene.want(OpenCount{CountPurpose::harvest, scene.block_id(),
                         next_tagged(*block, block->harvest_counts)});
  }
  finish(scene);
}

void draw_return_bloom(Scene& scene) {
  open(scene, {.key = "return",
               .title = tr("return.title"),
               .actions = {{.id = "count", .label = tr("return.count")}}});
  save_state(scene);
  heading(scene.ui, block_text(scene.season, scene.block_id()));
  paragraph(scene.ui, tr("return.text"));
  const ledger::BlockSeason* block = scene.block();
  if (!block || block->return_bloom.empty()) {
    empty_state(scene.ui, {.id = "none",
                           .glyph = Glyph::bud,
                           .text = tr("return.empty")});
  } else {
    const advice::Learning& learnt = scene.reckoning.learning(scene.season, scene.block_id());
    big_number(scene.ui, widgets::percent(learnt.return_bloom.value), tr("return.share"));
    for (const auto& entry : ledger::live_newest_first(block->return_bloom)) {
      fact(scene.ui, tree_text(entry.body.tree),
           tr("buds.row",
              {{"floral", whole(entry.body.floral_spurs)}, {"all", whole(entry.body.spurs)}}));
    }
  }
  if (block && scene.bar.action == "count") {
    scene.want(OpenCount{CountPurpose::return_bloom, scene.block_id(),
                         next_tagged(*block, block->return_bloom)});
  }
  finish(scene);
}

}  // namespace nthtree::screens
