// SPDX-License-Identifier: Apache-2.0
// Ladder, saw, cold, alone, sprays: where the hands are. Local rules and labels come first.
#include "screens/each_screen.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

void draw_cautions(Frame& frame) {
  open(frame, {.key = "cautions", .title = tr("cautions.title")});
  strong_line(frame.ui, tr("cautions.text"));
  const char* const keys[] = {"reason.caution_ladder", "reason.caution_tools",
                              "reason.caution_cold",   "reason.caution_alone",
                              "reason.caution_sprays", "reason.caution_local_rules"};
  for (const char* key : keys) {
    frame.ui.open_card();
    paragraph(frame.ui, tr(key));
    frame.ui.close_card(frame.ui.theme().card);
  }
  finish(frame);
}

}  // namespace nthtree::screens
