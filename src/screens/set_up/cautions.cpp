// SPDX-License-Identifier: Apache-2.0
// Ladder, saw, cold, alone, sprays: where the hands are. Local rules and labels come first.
#include "screens/each_screen.h"
#include "screens/parts/scene.h"

namespace nthtree::screens {

void draw_cautions(Scene& scene) {
  open(scene, {.key = "cautions", .title = tr("cautions.title")});
  strong_line(scene.ui, tr("cautions.text"));
  const char* const keys[] = {"reason.caution_ladder", "reason.caution_tools",
                              "reason.caution_cold",   "reason.caution_alone",
                              "reason.caution_sprays", "reason.caution_local_rules"};
  for (const char* key : keys) {
    scene.ui.open_card();
    paragraph(scene.ui, tr(key));
    scene.ui.close_card(scene.ui.theme().card);
  }
  finish(scene);
}

}  // namespace nthtree::screens
