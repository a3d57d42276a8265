// SPDX-License-Identifier: Apache-2.0
// The first things anybody sees: the records being read, and an empty phone.
#include "screens/each_screen.h"
#include "screens/set_up/language_choice.h"
#include "screens/parts/parts.h"
#include "screens/parts/frame.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

// How far the reading is. The store's own count may be behind by what was fetched since.
std::string records_read(const Session& session) {
  const std::int64_t read = session.records_read, there = session.records_there;
  if (there == 0 || read > there) return tr("opening.text", {{"n", number(read)}});
  return tr("opening.of", {{"n", number(read)}, {"total", number(there)}});
}

}  // namespace

void draw_opening(Frame& frame) {
  open(frame, {.key = "opening", .title = tr("opening.title"), .back = false});
  paragraph(frame.ui, records_read(frame.session));
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
