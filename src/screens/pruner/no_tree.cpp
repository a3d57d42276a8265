// SPDX-License-Identifier: Apache-2.0
// No tree here, or none that bears: one tap says what stands there, and the tree that is counted
// instead is fixed beforehand, so that nobody chooses.
#include "advice/known/planting.h"
#include "screens/each_screen.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

using ledger::TreeKind;

// The tree to count once that address is known to hold none.
orchard::TreeAddress instead_of(Scene& scene, advice::Planting planting,
                                orchard::TreeAddress tree) {
  planting.set(tree, TreeKind::missing);
  return planting.count_instead(tree, next_tree_of(scene, scene.session.person).walks_down);
}

void keep(Scene& scene, orchard::TreeAddress tree, TreeKind kind, orchard::TreeAddress instead) {
  SaveRecords save;
  save.bodies = {ledger::TreeState{scene.block_id(), tree, kind}};
  scene.want(save);
  if (kind != TreeKind::bearing && instead.row > 0) scene.want(SetTree{instead});
  scene.want(Back{});
}

}  // namespace

void draw_no_tree(Scene& scene) {
  const orchard::TreeAddress tree = scene.session.here().tree;
  open(scene, {.key = "no_tree", .title = tr("tree.what")});
  const ledger::BlockSeason* block = scene.block();
  if (!block || !block->block) return finish(scene);
  heading(scene.ui, tree_text(tree));
  const advice::Planting planting = advice::planting_of(*block, scene.now_ms());
  const orchard::TreeAddress instead = instead_of(scene, planting, tree);
  const bool counting = scene.session.drafts.count.has_value();
  if (counting) {
    paragraph(scene.ui, instead.row > 0
                            ? tr("tree.instead", {{"tree", tree_in_text(instead)}})
                            : tr("home.block_end"));
  }
  const TreeKind now = planting.kind_of(tree);
  constexpr TreeKind kinds[] = {TreeKind::missing, TreeKind::replant, TreeKind::pollinizer,
                                TreeKind::other_variety, TreeKind::bearing};
  for (const TreeKind kind : kinds) {
    const bool stands = kind == now;
    if (counting && kind == TreeKind::bearing && stands) continue;  // back says that
    if (choice_row(scene.ui, {.id = "is/" + std::to_string(static_cast<int>(kind)),
                              .label = tree_kind_text(kind),
                              .trailing = stands ? tr("tree.now") : "",
                              .current = stands,
                              .arrow = false,
                              .glyph = Glyph::tree})) {
      keep(scene, tree, kind, counting ? instead : orchard::TreeAddress{});
    }
  }
  finish(scene);
}

}  // namespace nthtree::screens
