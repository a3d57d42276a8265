// SPDX-License-Identifier: Apache-2.0
// Which block the person works in.
#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::string detail_of(Frame& frame, const ledger::BlockSeason& block) {
  if (!block.block) return tr("block.waiting");
  const advice::BlockTarget* target = frame.cache.target(frame.season, block.id);
  const std::string leave =
      target ? tr("block.leave", {{"n", whole(target->target.spurs_to_leave_per_tree.value)}})
             : tr("block.no_target");
  const std::string& variety = block.block->variety;
  return variety.empty() ? leave : variety + ", " + leave;
}

}  // namespace

void draw_choose_block(Frame& frame) {
  open(frame, {.key = "block", .title = tr("block.title")});
  const auto& blocks = frame.season.blocks();
  if (blocks.empty()) {
    if (empty_state(frame.ui, {.id = "none", .glyph = Glyph::tree,
                               .text = tr("block.empty"), .action = tr("block.add")})) {
      frame.go(ScreenId::edit_block);
    }
  }
  int position = 0;
  for (const auto& [id, block] : blocks) {
    if (choice_row(frame.ui, {.id = "block/" + id,
                              .label = block_text(frame.season, id),
                              .detail = detail_of(frame, block),
                              .current = id == frame.session.block,
                              .glyph = Glyph::tree,
                              .position = ++position,
                              .set_size = static_cast<int>(blocks.size())})) {
      frame.want(ChooseBlock{id});
    }
  }
  finish(frame);
}

}  // namespace nthtree::screens
