// SPDX-License-Identifier: Apache-2.0
// The farm: its blocks, its people, its rates.
#include "screens/each_screen.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void blocks(Scene& scene) {
  heading(scene.ui, tr("farm.blocks"));
  if (scene.season.blocks().empty()) small_print(scene.ui, tr("farm.no_blocks"));
  for (const auto& [id, block] : scene.season.blocks()) {
    if (choice_row(scene.ui, {.id = "block/" + id, .label = block_text(scene.season, id),
                              .detail = block.block ? block.block->variety : tr("block.waiting"),
                              .glyph = Glyph::tree})) {
      scene.go(ScreenId::edit_block, id);
    }
  }
  if (button(scene.ui, {.id = "add_block", .label = tr("farm.block_add"), .kind = Kind::quiet,
                        .glyph = Glyph::plus})) {
    scene.go(ScreenId::edit_block);
  }
}

void people(Scene& scene) {
  heading(scene.ui, tr("farm.people"));
  if (scene.season.people().empty()) small_print(scene.ui, tr("farm.no_people"));
  for (const auto& [id, known] : scene.season.people()) {
    const orchard::Person& person = known;
    const std::string detail = person.active ? role_text(person.role) : tr("farm.left");
    if (choice_row(scene.ui, {.id = "person/" + id,
                              .label = person_text(scene.season, id),
                              .detail = detail,
                              .glyph = Glyph::person})) {
      scene.go(ScreenId::edit_person, "", id);
    }
  }
  if (button(scene.ui, {.id = "add_person", .label = tr("farm.person_add"), .kind = Kind::quiet,
                        .glyph = Glyph::plus})) {
    scene.go(ScreenId::edit_person);
  }
}

}  // namespace

void draw_set_up(Scene& scene) {
  open(scene, {.key = "farm", .title = tr("farm.title")});
  menu_row(scene, "rates", tr("farm.rates"), ScreenId::rates, Glyph::gear);
  menu_row(scene, "varieties", tr("farm.varieties"), ScreenId::varieties, Glyph::bud);
  side_by_side(scene, [&] { blocks(scene); }, [&] { people(scene); });
  finish(scene);
}

}  // namespace nthtree::screens
