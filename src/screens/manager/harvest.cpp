// SPDX-License-Identifier: Apache-2.0
// Fruits at harvest and return bloom the next spring, on the trees tagged in winter: they teach
// the block its own insurance factor.
#include "ledger/current.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/form.h"
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

// The tree counted last may be weighed as well.
void weigh(Frame& frame, const ledger::BlockSeason& block) {
  const auto newest = ledger::current_newest_first(block.harvest_counts);
  if (!(newest.begin() != newest.end())) return;
  const auto& last = *newest.begin();
  Form form(frame);
  const auto grams = form.number({.id = "harvest/grams/" + last.position.id.text(),
                                  .label = tr("harvest.weigh",
                                              {{"tree", tree_in_text(last.body.tree)}}),
                                  .value = last.body.grams_per_fruit,
                                  .range = orchard::limits::fruit_grams,
                                  .optional = true});
  if (button(frame.ui, {.id = "weigh", .label = tr("harvest.note_weight"), .kind = Kind::quiet,
                        .enabled = grams.has_value()}) && grams) {
    ledger::HarvestCount weighed = last.body;
    weighed.grams_per_fruit = *grams;
    SaveRecords save;
    save.bodies = {weighed};
    save.replaces = last.position.id;
    frame.want(save);
  }
}

void never_counted(Frame& frame, const advice::Learning& learnt) {
  if (learnt.never_counted.empty()) return;
  const int others = static_cast<int>(learnt.never_counted.size()) - 1;
  notice(frame.ui, {.id = "never_counted", .tone = Tone::caution,
                    .text = tr("harvest.never",
                               {{"tree", tree_in_text(learnt.never_counted.front())}}) +
                            (others > 0 ? " " + tr_count("harvest.never_n", others) : "")});
}

void what_it_taught(Frame& frame, const advice::Learning& learnt) {
  estimate_fact(frame, tr("harvest.mean"), learnt.fruits_per_tree, 0);
  if (learnt.fruits > 0) {
    const orchard::Estimate& set = learnt.set_per_spur;
    estimate_fact(frame, tr("harvest.set"), {100 * set.value, 100 * set.low, 100 * set.high}, 0);
  }
  estimate_fact(frame, tr("harvest.own"), learnt.own_insurance, 2);
  estimate_fact(frame, tr("harvest.insurance"), learnt.insurance, 2);
  if (learnt.spurs_to_leave_in_hindsight > 0) {
    fact(frame.ui, tr("harvest.hindsight"), whole(learnt.spurs_to_leave_in_hindsight));
  }
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
  if (!block || !has_current(block->harvest_counts)) {
    empty_state(frame.ui, {.id = "none",
                           .glyph = Glyph::tree,
                           .text = tr("harvest.empty")});
  } else {
    paragraph(frame.ui, reason_text(learnt.reason));
    never_counted(frame, learnt);
    if (learnt.harvest_trees > 0) what_it_taught(frame, learnt);
    if (learnt.weighed_trees > 0) {
      fact(frame.ui, tr("harvest.grams"),
           tr("harvest.grams_n", {{"n", whole(learnt.grams_per_fruit)}}));
    }
    weigh(frame, *block);
    menu_row(frame, "years", ScreenId::years);
    small_print(frame.ui, tr("harvest.thinned"));
    for (const auto& entry : ledger::current_newest_first(block->harvest_counts)) {
      const auto& grams = entry.body.grams_per_fruit;
      fact(frame.ui, tree_text(entry.body.tree),
           whole(entry.body.fruits) +
               (grams ? ", " + tr("harvest.grams_n", {{"n", whole(*grams)}}) : ""));
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
  if (!block || !has_current(block->return_bloom)) {
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
                         next_of_last_season(frame.season, *block)});
  }
  finish(frame);
}

}  // namespace nthtree::screens
