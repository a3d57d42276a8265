// SPDX-License-Identifier: Apache-2.0
// The crew's brief: short sentences, to be read aloud before the first cut.
#include "screens/lead/brief_words.h"

#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/size_row.h"
#include "screens/parts/wording.h"
#include "screens/season/papers.h"

namespace nthtree::screens {
namespace {

void add_what_to_take(Frame& frame, const advice::Brief& brief, std::vector<std::string>& lines) {
  lines.push_back(tr("brief.unpruned", {{"n", whole(brief.spurs_unpruned.value)}}));
  if (brief.spurs_to_take.value >= 1) {
    lines.push_back(tr("brief.take", {{"n", whole(brief.spurs_to_take.value)}}));
  }
  lines.push_back(brief.limbs_to_take > 0
                      ? tr("brief.limbs", {{"n", number(brief.limbs_to_take, 0)},
                                           {"size", frame.us_units() ? "¾ in" : "2 cm"}})
                      : tr("brief.no_limbs"));
  if (brief.spurs_left_to_take >= 1) {
    lines.push_back(tr("brief.rest", {{"n", whole(brief.spurs_left_to_take)}}));
  }
}

}  // namespace

std::vector<std::string> brief_lines(Frame& frame, const advice::Brief& brief) {
  if (!brief.known) return {tr("brief.none")};
  std::vector<std::string> lines = {tr("brief.leave", {{"n", whole(brief.spurs_to_leave.value)},
                                                       {"low", whole(brief.band_low)},
                                                       {"high", whole(brief.band_high)}})};
  if (const std::string sizes = leave_by_size(frame); !sizes.empty()) lines.push_back(sizes);
  if (brief.spurs_unpruned.value > 0) add_what_to_take(frame, brief, lines);
  if (brief.spurs_per_limb_to_leave > 0) {
    lines.push_back(tr("brief.each_limb", {{"n", whole(brief.spurs_per_limb_to_leave)}}));
  }
  lines.push_back(tr("count.what"));
  if (brief.stride > 0) {
    lines.push_back(tr("brief.stride", {{"n", whole(brief.stride)},
                                        {"start", whole(brief.stride_start)}}));
  }
  return lines;
}

void draw_brief(Frame& frame) {
  open(frame, {.key = "brief", .title = tr("brief.title"),
               .actions = {{.id = "print", .label = tr("papers.print_brief"),
                            .kind = Kind::quiet}}});
  const advice::Brief& brief =
      frame.cache.brief(frame.season, frame.block_id(), frame.now_ms());
  heading(frame.ui, block_text(frame.season, frame.block_id()));
  small_print(frame.ui, tr("brief.read_aloud"));
  if (brief.known) {
    const std::vector<std::string> lines = brief_lines(frame, brief);
    strong_line(frame.ui, lines.front());
    for (std::size_t i = 1; i < lines.size(); ++i) paragraph(frame.ui, lines[i]);
  } else {
    notice(frame.ui, {.id = "none", .tone = Tone::caution, .text = tr("brief.none")});
  }
  if (!brief.notes.empty()) heading(frame.ui, tr("brief.notes"));
  for (const advice::Reason& note : brief.notes) paragraph(frame.ui, reason_text(note));
  heading(frame.ui, tr("cautions.title"));
  for (const advice::Reason& caution : brief.cautions) paragraph(frame.ui, reason_text(caution));
  small_print(frame.ui, tr("help.all"));
  if (frame.bar.action == "print") frame.want(PrintReport{brief_paper(frame, frame.block_id())});
  finish(frame);
}

}  // namespace nthtree::screens
