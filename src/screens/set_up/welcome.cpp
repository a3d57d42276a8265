// SPDX-License-Identifier: Apache-2.0
// The first things anybody sees: the records being read, and an empty phone.
#include "screens/each_screen.h"
#include "screens/set_up/language_choice.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {

void draw_opening(Scene& scene) {
  open(scene, {.key = "opening", .title = tr("opening.title"), .back = false});
  paragraph(scene.ui, tr("opening.text", {{"n", number(scene.session.records_read)}}));
  if (!scene.session.last_save.trouble.empty()) {
    notice(scene.ui, {.id = "unread", .tone = Tone::trouble, .text = tr("opening.failed"),
                      .live = true});
    paragraph(scene.ui, tr("opening.refused"));
    if (button(scene.ui, {.id = "again", .label = tr("opening.again")})) scene.want(ReadAgain{});
  }
  finish(scene);
}

void draw_welcome(Scene& scene) {
  open(scene, {.key = "welcome", .title = tr("welcome.title"), .back = false});
  paragraph(scene.ui, tr("welcome.text"));
  if (choice_row(scene.ui, {.id = "join", .label = tr("welcome.join"),
                            .detail = tr(scene.session.sync.joined ? "welcome.joined_hint"
                                                                   : "welcome.join_hint"),
                            .glyph = Glyph::phone})) {
    scene.go(ScreenId::join_farm);
  }
  if (choice_row(scene.ui, {.id = "receive", .label = tr("welcome.receive"),
                            .detail = tr("welcome.receive_hint"), .glyph = Glyph::up})) {
    scene.go(ScreenId::receive);
  }
  if (choice_row(scene.ui, {.id = "start", .label = tr("welcome.start"),
                            .detail = tr("welcome.start_hint"), .glyph = Glyph::tree})) {
    scene.go(ScreenId::start_farm);
  }
  if (choice_row(scene.ui, {.id = "demo_farm", .label = tr("welcome.demo"),
                            .detail = tr("welcome.demo_hint"), .glyph = Glyph::bud})) {
    scene.want(LookAtDemo{});
  }
  scene.ui.space(8);
  install(scene);
  choose_language_here(scene);
  finish(scene);
}

}  // namespace nthtree::screens
