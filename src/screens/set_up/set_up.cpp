// SPDX-License-Identifier: Apache-2.0
// The farm: its blocks, its people, its rates.
#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void blocks(Frame& frame) {
  heading(frame.ui, tr("farm.blocks"));
  if (frame.season.blocks().empty()) small_print(frame.ui, tr("farm.no_blocks"));
  for (const auto& [id, block] : frame.season.blocks()) {
    if (choice_row(frame.ui, {.id = "block/" + id, .label = block_text(frame.season, id),
                              .detail = block.block ? block.block->variety : tr("block.waiting"),
                              .glyph = Glyph::tree})) {
      frame.go(ScreenId::edit_block, id);
    }
  }
  if (button(frame.ui, {.id = "add_block", .label = tr("farm.block_add"), .kind = Kind::quiet,
                        .glyph = Glyph::plus})) {
    frame.go(ScreenId::edit_block);
  }
}

void people(Frame& frame) {
  heading(frame.ui, tr("farm.people"));
  if (frame.season.people().empty()) small_print(frame.ui, tr("farm.no_people"));
  for (const auto& [id, known] : frame.season.people()) {
    const orchard::Person& person = known;
    const std::string detail = person.active ? role_text(person.role) : tr("farm.left");
    if (choice_row(frame.ui, {.id = "person/" + id,
                              .label = person_text(frame.season, id),
                              .detail = detail,
                              .glyph = Glyph::person})) {
      frame.go(ScreenId::edit_person, "", id);
    }
  }
  if (button(frame.ui, {.id = "add_person", .label = tr("farm.person_add"), .kind = Kind::quiet,
                        .glyph = Glyph::plus})) {
    frame.go(ScreenId::edit_person);
  }
}

}  // namespace

void draw_set_up(Frame& frame) {
  open(frame, {.key = "farm", .title = tr("farm.title")});
  menu_row(frame, "rates", tr("farm.rates"), ScreenId::rates, Glyph::gear);
  const orchard::Person* me = frame.me();
  const bool is_manager = me && me->role == orchard::Role::manager;
  if (is_manager) {
    menu_row(frame, "phones", tr("farm.phones"), ScreenId::phones, Glyph::phone);
    menu_row(frame, "settings_made", tr("farm.settings_made"), ScreenId::settings_made,
             Glyph::undo);
  }
  menu_row(frame, "varieties", tr("farm.varieties"), ScreenId::varieties, Glyph::bud);
  side_by_side(frame, [&] { blocks(frame); }, [&] { people(frame); });
  finish(frame);
}

}  // namespace nthtree::screens
