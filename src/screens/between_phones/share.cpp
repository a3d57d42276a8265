// SPDX-License-Identifier: Apache-2.0
// Tables and paper out of the phone, without a network.
#include "screens/manager/day_report.h"
#include "screens/manager/review_parts.h"
#include "screens/each_screen.h"
#include "screens/parts/parts.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

void draw_share(Frame& frame) {
  open(frame, {.key = "share", .title = tr("share.title")});
  paragraph(frame.ui, tr("share.text"));
  const auto line = [&](const char* id, const char* key, ShareForm form) {
    const std::string words = std::string("share.") + key;
    if (choice_row(frame.ui, {.id = id, .label = tr(words), .detail = tr(words + "_hint"),
                              .arrow = false, .glyph = Glyph::down})) {
      frame.want(Share{form});
    }
  };
  line("csv", "counts", ShareForm::counts);
  line("records", "records", ShareForm::records);
  line("json", "json", ShareForm::json);
  const std::int64_t day = shown_day(frame);
  if (choice_row(frame.ui, {.id = "print", .label = tr("share.print"), .arrow = false,
                            .glyph = Glyph::print})) {
    frame.want(PrintReport{
        day_report(frame.season, frame.cache.review(frame.season, day, frame.now_ms()))});
  }
  menu_row(frame, "hand_over", ScreenId::hand_over);
  menu_row(frame, "receive", ScreenId::receive);
  finish(frame);
}

}  // namespace nthtree::screens
