// SPDX-License-Identifier: Apache-2.0
// Unpruned trees: how much there is to take.
#include "ledger/current.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {

void draw_before_counts(Frame& frame) {
  open(frame, {.key = "before", .title = tr("before.title"),
               .actions = {{.id = "count", .label = tr("before.count")}}});
  save_state(frame);
  paragraph(frame.ui, tr("before.text"));
  const ledger::BlockSeason* block = frame.block();
  orchard::TreeAddress next{1, 1};
  const advice::Consequences& what = frame.cache.consequences(frame.season, frame.block_id());
  const auto* last = block ? newest_current(block->before_counts) : nullptr;
  if (!last) {
    empty_state(frame.ui, {.id = "none", .glyph = Glyph::tree,
                           .text = tr("before.empty")});
  } else {
    next = {last->body.tree.row, last->body.tree.tree + 1};
    if (what.before_trees > 0) {
      big_number(frame.ui, whole(what.unpruned_spurs.value), tr("before.mean"));
      if (what.known) fact(frame.ui, tr("before.take"), whole(what.spurs_to_take.value));
    }
    heading(frame.ui, tr("review.counts"));
    for (const auto& entry : ledger::current_newest_first(block->before_counts)) {
      fact(frame.ui, tree_text(entry.body.tree), whole(entry.body.spurs));
    }
  }
  if (frame.bar.action == "count") {
    frame.want(OpenCount{CountPurpose::before, frame.block_id(), next});
  }
  finish(frame);
}

}  // namespace nthtree::screens
