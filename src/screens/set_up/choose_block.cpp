// SPDX-License-Identifier: Apache-2.0
// Which block the person works in.
#include "screens/each_screen.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::string detail_of(Scene& scene, const ledger::BlockSeason& block) {
  if (!block.block) return tr("block.waiting");
  const advice::BlockTarget* target = scene.reckoning.target(scene.season, block.id);
  const std::string leave =
      target ? tr("block.leave", {{"n", whole(target->target.spurs_to_leave_per_tree.value)}})
             : tr("block.no_target");
  const std::string& variety = block.block->variety;
  return variety.empty() ? leave : variety + ", " + leave;
}

}  // namespace

void draw_choose_block(Scene& scene) {
  open(scene, {.key = "block", .title = tr("block.title")});
  const auto& blocks = scene.season.blocks();
  if (blocks.empty()) {
    if (empty_state(scene.ui, {.id = "none", .glyph = Glyph::tree,
                               .text = tr("block.empty"), .action = tr("block.add")})) {
      scene.go(ScreenId::edit_block);
    }
  }
  int position = 0;
  for (const auto& [id, block] : blocks) {
    if (choice_row(scene.ui, {.id = "block/" + id,
                              .label = block_text(scene.season, id),
                              .detail = detail_of(scene, block),
                              .current = id == scene.session.block,
                              .glyph = Glyph::tree,
                              .position = ++position,
                              .set_size = static_cast<int>(blocks.size())})) {
      scene.want(ChooseBlock{id});
    }
  }
  finish(scene);
}

}  // namespace nthtree::screens
