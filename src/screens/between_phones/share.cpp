// SPDX-License-Identifier: Apache-2.0
// Tables and paper out of the phone, without a network.
#include "screens/manager/day_report.h"
#include "screens/manager/review_parts.h"
#include "screens/each_screen.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"

namespace nthtree::screens {

void draw_share(Scene& scene) {
  open(scene, {.key = "share", .title = tr("share.title")});
  paragraph(scene.ui, tr("share.text"));
  const auto line = [&](const char* id, const char* key, ShareForm form) {
    const std::string words = std::string("share.") + key;
    if (choice_row(scene.ui, {.id = id, .label = tr(words), .detail = tr(words + "_hint"),
                              .arrow = false, .glyph = Glyph::down})) {
      scene.want(Share{form});
    }
  };
  line("csv", "counts", ShareForm::counts);
  line("records", "records", ShareForm::records);
  line("json", "json", ShareForm::json);
  const std::int64_t day = shown_day(scene);
  if (choice_row(scene.ui, {.id = "print", .label = tr("share.print"), .arrow = false,
                            .glyph = Glyph::print})) {
    scene.want(PrintReport{
        day_report(scene.season, scene.reckoning.review(scene.season, day, scene.now_ms()))});
  }
  menu_row(scene, "hand_over", tr("hand.title"), ScreenId::hand_over, Glyph::phone);
  menu_row(scene, "receive", tr("take.title"), ScreenId::receive, Glyph::up);
  finish(scene);
}

}  // namespace nthtree::screens
