// SPDX-License-Identifier: Apache-2.0
// No tree here, or none that bears: one tap says what stands there, and the tree that is counted
// instead is fixed beforehand, so that nobody chooses.
#include "advice/known/planting.h"
#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

using ledger::TreeKind;

// The tree to count once that address is known to hold none.
orchard::TreeAddress instead_of(Frame& frame, advice::Planting planting,
                                orchard::TreeAddress tree) {
  planting.set(tree, TreeKind::missing);
  return planting.count_instead(tree, next_tree_of(frame, frame.session.person).walks_down);
}

void keep(Frame& frame, orchard::TreeAddress tree, TreeKind kind, orchard::TreeAddress instead) {
  SaveRecords save;
  save.bodies = {ledger::TreeState{frame.block_id(), tree, kind}};
  frame.want(save);
  if (kind != TreeKind::bearing && instead.row > 0) frame.want(SetTree{instead});
  frame.want(Back{});
}

}  // namespace

void draw_no_tree(Frame& frame) {
  const orchard::TreeAddress tree = frame.session.here().tree;
  open(frame, {.key = "no_tree", .title = tr("tree.what")});
  const ledger::BlockSeason* block = frame.block();
  if (!block || !block->block) return finish(frame);
  heading(frame.ui, tree_text(tree));
  const advice::Planting planting = advice::planting_of(*block, frame.now_ms());
  const orchard::TreeAddress instead = instead_of(frame, planting, tree);
  const bool counting = frame.session.drafts.count.has_value();
  if (counting) {
    paragraph(frame.ui, instead.row > 0
                            ? tr("tree.instead", {{"tree", tree_in_text(instead)}})
                            : tr("home.block_end"));
  }
  const TreeKind now = planting.kind_of(tree);
  constexpr TreeKind kinds[] = {TreeKind::missing, TreeKind::replant, TreeKind::pollinizer,
                                TreeKind::other_variety, TreeKind::bearing};
  for (const TreeKind kind : kinds) {
    const bool stands = kind == now;
    if (counting && kind == TreeKind::bearing && stands) continue;  // back says that
    if (choice_row(frame.ui, {.id = "is/" + std::to_string(static_cast<int>(kind)),
                              .label = tree_kind_text(kind),
                              .trailing = stands ? tr("tree.now") : "",
                              .current = stands,
                              .arrow = false,
                              .glyph = Glyph::tree})) {
      keep(frame, tree, kind, counting ? instead : orchard::TreeAddress{});
    }
  }
  finish(frame);
}

}  // namespace nthtree::screens
