// SPDX-License-Identifier: Apache-2.0
// The crew's brief: short sentences, to be read aloud before the first cut.
#include <cmath>

#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/size_row.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void sentences(Frame& frame, const advice::Brief& brief) {
  strong_line(frame.ui, tr("brief.leave", {{"n", whole(brief.spurs_to_leave.value)},
                                           {"low", whole(brief.band_low)},
                                           {"high", whole(brief.band_high)}}));
  if (const std::string sizes = leave_by_size(frame); !sizes.empty()) paragraph(frame.ui, sizes);
  if (brief.spurs_unpruned.value > 0) {
    paragraph(frame.ui, tr("brief.unpruned", {{"n", whole(brief.spurs_unpruned.value)}}));
    if (brief.spurs_to_take.value >= 1) {
      paragraph(frame.ui, tr("brief.take", {{"n", whole(brief.spurs_to_take.value)}}));
    }
    if (brief.limbs_to_take > 0) {
      paragraph(frame.ui, tr("brief.limbs", {{"n", number(brief.limbs_to_take, 0)},
                                             {"size", frame.us_units() ? "¾ in" : "2 cm"}}));
    } else {
      paragraph(frame.ui, tr("brief.no_limbs"));
    }
    if (brief.spurs_left_to_take >= 1) {
      paragraph(frame.ui, tr("brief.rest", {{"n", whole(brief.spurs_left_to_take)}}));
    }
  }
  if (brief.spurs_per_limb_to_leave > 0) {
    paragraph(frame.ui, tr("brief.each_limb", {{"n", whole(brief.spurs_per_limb_to_leave)}}));
  }
  paragraph(frame.ui, tr("count.what"));
  if (brief.stride > 0) {
    paragraph(frame.ui, tr("brief.stride", {{"n", whole(brief.stride)},
                                            {"start", whole(brief.stride_start)}}));
  }
}

}  // namespace

void draw_brief(Frame& frame) {
  open(frame, {.key = "brief", .title = tr("brief.title")});
  const advice::Brief& brief =
      frame.cache.brief(frame.season, frame.block_id(), frame.now_ms());
  heading(frame.ui, block_text(frame.season, frame.block_id()));
  small_print(frame.ui, tr("brief.read_aloud"));
  if (brief.known) {
    sentences(frame, brief);
  } else {
    notice(frame.ui, {.id = "none", .tone = Tone::caution, .text = tr("brief.none")});
  }
  if (!brief.notes.empty()) heading(frame.ui, tr("brief.notes"));
  for (const advice::Reason& note : brief.notes) paragraph(frame.ui, reason_text(note));
  heading(frame.ui, tr("cautions.title"));
  for (const advice::Reason& caution : brief.cautions) paragraph(frame.ui, reason_text(caution));
  small_print(frame.ui, tr("help.all"));
  finish(frame);
}

}  // namespace nthtree::screens
