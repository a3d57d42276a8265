// SPDX-License-Identifier: Apache-2.0
// The crew's brief: short sentences, to be read aloud before the first cut.
#include <cmath>

#include "screens/each_screen.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void sentences(Scene& scene, const advice::Brief& brief) {
  strong_line(scene.ui, tr("brief.leave", {{"n", whole(brief.spurs_to_leave.value)},
                                           {"low", whole(brief.band_low)},
                                           {"high", whole(brief.band_high)}}));
  if (brief.spurs_unpruned.value > 0) {
    paragraph(scene.ui, tr("brief.unpruned", {{"n", whole(brief.spurs_unpruned.value)}}));
    if (brief.spurs_to_take.value >= 1) {
      paragraph(scene.ui, tr("brief.take", {{"n", whole(brief.spurs_to_take.value)}}));
    }
    if (brief.limbs_to_take > 0) {
      paragraph(scene.ui, tr("brief.limbs", {{"n", number(brief.limbs_to_take, 0)},
                                             {"size", scene.us_units() ? "¾ in" : "2 cm"}}));
    } else {
      paragraph(scene.ui, tr("brief.no_limbs"));
    }
    if (brief.spurs_left_to_take >= 1) {
      paragraph(scene.ui, tr("brief.rest", {{"n", whole(brief.spurs_left_to_take)}}));
    }
  }
  if (brief.spurs_per_limb_to_leave > 0) {
    paragraph(scene.ui, tr("brief.each_limb", {{"n", whole(brief.spurs_per_limb_to_leave)}}));
  }
  paragraph(scene.ui, tr("count.what"));
  if (brief.stride > 0) {
    paragraph(scene.ui, tr("brief.stride", {{"n", whole(brief.stride)},
                                            {"start", whole(brief.stride_start)}}));
  }
}

}  // namespace

void draw_brief(Scene& scene) {
  open(scene, {.key = "brief", .title = tr("brief.title")});
  const advice::Brief& brief =
      scene.reckoning.brief(scene.season, scene.block_id(), scene.now_ms());
  heading(scene.ui, block_text(scene.season, scene.block_id()));
  small_print(scene.ui, tr("brief.read_aloud"));
  if (brief.known) {
    sentences(scene, brief);
  } else {
    notice(scene.ui, {.id = "none", .tone = Tone::caution, .text = tr("brief.none")});
  }
  if (!brief.notes.empty()) heading(scene.ui, tr("brief.notes"));
  for (const advice::Reason& note : brief.notes) paragraph(scene.ui, reason_text(note));
  heading(scene.ui, tr("cautions.title"));
  for (const advice::Reason& caution : brief.cautions) paragraph(scene.ui, reason_text(caution));
  small_print(scene.ui, tr("help.all"));
  finish(scene);
}

}  // namespace nthtree::screens
