// SPDX-License-Identifier: Apache-2.0
// The first things anybody sees: the records being read, and an empty phone.
#include "screens/each_screen.h"
#include "screens/set_up/language_choice.h"
#include "screens/parts/parts.h"
#include "screens/parts/frame.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {

void draw_opening(Frame& frame) {
  open(frame, {.key = "opening", .title = tr("opening.title"), .back = false});
  paragraph(frame.ui, tr("opening.text", {{"n", number(frame.session.records_read)}}));
  if (!frame.session.last_save.trouble.empty()) {
    notice(frame.ui, {.id = "unread", .tone = Tone::trouble, .text = tr("opening.failed"),
                      .live = true});
    paragraph(frame.ui, tr("opening.refused"));
    if (button(frame.ui, {.id = "again", .label = tr("opening.again")})) frame.want(ReadAgain{});
  }
  finish(frame);
}

void draw_welcome(Frame& frame) {
  open(frame, {.key = "welcome", .title = tr("welcome.title"), .back = false});
  paragraph(frame.ui, tr("welcome.text"));
  if (choice_row(frame.ui, {.id = "join", .label = tr("welcome.join"),
                            .detail = tr(frame.session.sync.joined ? "welcome.joined_hint"
                                                                   : "welcome.join_hint"),
                            .glyph = Glyph::phone})) {
    frame.go(ScreenId::join_farm);
  }
  if (choice_row(frame.ui, {.id = "receive", .label = tr("welcome.receive"),
                            .detail = tr("welcome.receive_hint"), .glyph = Glyph::up})) {
    frame.go(ScreenId::receive);
  }
  if (choice_row(frame.ui, {.id = "start", .label = tr("welcome.start"),
                            .detail = tr("welcome.start_hint"), .glyph = Glyph::tree})) {
    frame.go(ScreenId::start_farm);
  }
  if (choice_row(frame.ui, {.id = "demo_farm", .label = tr("welcome.demo"),
                            .detail = tr("welcome.demo_hint"), .glyph = Glyph::bud})) {
    frame.want(LookAtDemo{});
  }
  frame.ui.space(8);
  install(frame);
  choose_language_here(frame);
  finish(frame);
}

}  // namespace nthtree::screens
