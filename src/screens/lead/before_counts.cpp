// SPDX-License-Identifier: Apache-2.0
// Unpruned trees: how much there is to take.
#include "ledger/live.h"
#include "screens/each_screen.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {

void draw_before_counts(Scene& scene) {
  open(scene, {.key = "before", .title = tr("before.title"),
               .actions = {{.id = "count", .label = tr("before.count")}}});
  save_state(scene);
  paragraph(scene.ui, tr("before.text"));
  const ledger::BlockSeason* block = scene.block();
  orchard::TreeAddress next{1, 1};
  const advice::Consequences& what = scene.reckoning.consequences(scene.season, scene.block_id());
  if (!block || block->before_counts.empty()) {
    empty_state(scene.ui, {.id = "none", .glyph = Glyph::tree,
                           .text = tr("before.empty")});
  } else {
    next = block->before_counts.back().body.tree;
    next.tree += 1;
    if (what.before_trees > 0) {
      big_number(scene.ui, whole(what.unpruned_spurs.value), tr("before.mean"));
      if (what.known) fact(scene.ui, tr("before.take"), whole(what.spurs_to_take.value));
    }
    heading(scene.ui, tr("review.counts"));
    for (const auto& entry : ledger::live_newest_first(block->before_counts)) {
      fact(scene.ui, tree_text(entry.body.tree), whole(entry.body.spurs));
    }
  }
  if (scene.bar.action == "count") {
    scene.want(OpenCount{CountPurpose::before, scene.block_id(), next});
  }
  finish(scene);
}

}  // namespace nthtree::screens
