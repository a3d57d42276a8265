// SPDX-License-Identifier: Apache-2.0
// Everything out of the phone and in again, without a network.
#include "screens/day_report.h"
#include "screens/each_screen.h"
#include "screens/scene.h"

namespace nthtree::screens {

void draw_share(Scene& scene) {
  open(scene, {.key = "share", .title = tr("share.title")});
  paragraph(scene.ui, tr("share.text"));
  const auto line = [&](const char* id, const std::string& label, Glyph glyph, Intent intent) {
    if (choice_row(scene.ui, {.id = id, .label = label, .arrow = false, .glyph = glyph})) {
      scene.want(std::move(intent));
    }
  };
  line("csv", tr("share.csv"), Glyph::down, Share{ShareForm::csv, false});
  line("json", tr("share.json"), Glyph::down, Share{ShareForm::json, false});
  line("send", tr("share.send"), Glyph::share, Share{ShareForm::json, true});
  const std::int64_t day = scene.session.day == 0 ? scene.today() : scene.session.day;
  if (choice_row(scene.ui, {.id = "print", .label = tr("share.print"), .arrow = false,
                            .glyph = Glyph::print})) {
    scene.want(PrintReport{
        day_report(scene.season, scene.reckoning.review(scene.season, day, scene.now_ms()))});
  }
  if (choice_row(scene.ui, {.id = "import", .label = tr("share.import"),
                            .detail = tr("share.import_hint"), .arrow = false,
                            .glyph = Glyph::up})) {
    scene.want(ImportFile{});
  }
  finish(scene);
}

}  // namespace nthtree::screens
