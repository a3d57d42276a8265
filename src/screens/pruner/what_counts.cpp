// SPDX-License-Identifier: Apache-2.0
// What counts as a spur and what does not, as drawings. Reached from the count in one tap.
#include "screens/each_screen.h"
#include "screens/parts/scene.h"

namespace nthtree::screens {

void draw_what_counts(Scene& scene) {
  using Drawn = widgets::SpurPicture::Part;
  open(scene, {.key = "what_counts", .title = tr("what.title")});
  spur_picture(scene.ui, {.id = "spur", .label = tr("what.spur"), .part = Drawn::spur});
  spur_picture(scene.ui, {.id = "end", .label = tr("what.end"), .part = Drawn::shoot_end});
  spur_picture(scene.ui, {.id = "side", .label = tr("what.side"), .part = Drawn::side_bud,
                          .counts = false});
  paragraph(scene.ui, tr("count.what"));
  finish(scene);
}

}  // namespace nthtree::screens
