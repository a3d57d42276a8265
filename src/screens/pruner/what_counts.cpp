// SPDX-License-Identifier: Apache-2.0
// What counts as a spur and what does not, as drawings. Reached from the count in one tap.
#include "screens/each_screen.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

void draw_what_counts(Frame& frame) {
  using Drawn = widgets::SpurPicture::Part;
  open(frame, {.key = "what_counts", .title = tr("what.title")});
  spur_picture(frame.ui, {.id = "spur", .label = tr("what.spur"), .part = Drawn::spur});
  spur_picture(frame.ui, {.id = "end", .label = tr("what.end"), .part = Drawn::shoot_end});
  spur_picture(frame.ui, {.id = "side", .label = tr("what.side"), .part = Drawn::side_bud,
                          .counts = false});
  paragraph(frame.ui, tr("count.what"));
  finish(frame);
}

}  // namespace nthtree::screens
