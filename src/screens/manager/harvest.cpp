// SPDX-License-Identifier: Apache-2.0
// Fruits at harvest and return bloom the next spring, on the trees tagged in winter: they teach
// the block its own insurance factor.
#include "ledger/current.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void estimate_fact(Frame& frame, const std::string& label, const orchard::Estimate& e,
                   int decimals) {
  fact(frame.ui, label,
       number(e.value, decimals) + " (" +
           tr("range", {{"low", number(e.low, decimals)}, {"high", number(e.high, decimals)}}) +
           ")");
}

}  // namespace

void draw_harvest(Frame& frame) {
  open(frame, {.key = "harvest",
               .title = tr("manager.harvest"),
               .actions = {{.id = "count", .label = tr("harvest.count")}}});
  save_state(frame);
  heading(frame.ui, block_text(frame.season, frame.block_id()));
  paragraph(frame.ui, tr("harvest.text"));
  const ledger::BlockSeason* block = frame.block();
  const advice::Learning& learnt = frame.cache.learning(frame.season, frame.block_id());
  if (!block || block->harvest_counts.empty()) {
    empty_state(frame.ui, {.id = "none",
                           .glyph = Glyph::tree,
                           .text = tr("harvest.empty")});
  } else {
    paragraph(frame.ui, reason_text(learnt.reason));
    estimate_fact(frame, tr("harvest.mean"), learnt.fruits_per_tree, 0);
    if (learnt.harvest_trees > 0) {
      estimate_fact(frame, tr("harvest.own"), learnt.own_insurance, 2);
      estimate_fact(frame, tr("harvest.insurance"), learnt.insurance, 2);
      if (learnt.spurs_to_leave_in_hindsight > 0) {
        fact(frame.ui, tr("harvest.hindsight"), whole(learnt.spurs_to_leave_in_hindsight));
      }
    }
    small_print(frame.ui, tr("harvest.thinned"));
    for (const auto& entry : ledger::current_newest_first(block->harvest_counts)) {
      fact(frame.ui, tree_text(entry.body.tree), whole(entry.body.fruits));
    }
  }
  if (block && frame.bar.action == "count") {
    frame.want(OpenCount{CountPurpose::harvest, frame.block_id(),
                         next_tagged(*block, block->harvest_counts)});
  }
  finish(frame);
}

void draw_return_bloom(Frame& frame) {
  open(frame, {.key = "return",
               .title = tr("return.title"),
               .actions = {{.id = "count", .label = tr("return.count")}}});
  save_state(frame);
  heading(frame.ui, block_text(frame.season, frame.block_id()));
  paragraph(frame.ui, tr("return.text"));
  const ledger::BlockSeason* block = frame.block();
  if (!block || block->return_bloom.empty()) {
    empty_state(frame.ui, {.id = "none",
                           .glyph = Glyph::bud,
                           .text = tr("return.empty")});
  } else {
    const advice::Learning& learnt = frame.cache.learning(frame.season, frame.block_id());
    big_number(frame.ui, widgets::percent(learnt.return_bloom.value), tr("return.share"));
    for (const auto& entry : ledger::current_newest_first(block->return_bloom)) {
      fact(frame.ui, tree_text(entry.body.tree),
           tr("buds.row",
              {{"floral", whole(entry.body.floral_spurs)}, {"all", whole(entry.body.spurs)}}));
    }
  }
  if (block && frame.bar.action == "count") {
    frame.want(OpenCount{CountPurpose::return_bloom, frame.block_id(),
                         next_tagged(*block, block->return_bloom)});
  }
  finish(frame);
}

}  // namespace nthtree::screens
