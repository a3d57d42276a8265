// SPDX-License-Identifier: Apache-2.0
// Stands in the developers' build only, see gallery_surface.h.
#include "shell/gallery_surface.h"

#include "screens/gallery.h"

namespace nthtree::shell {
namespace {

class GallerySurface : public app::Surface {
 public:
  explicit GallerySurface(widgets::Fonts& fonts) : fonts_(fonts), ui_(fonts) {}
  widgets::Ui& ui() override { return ui_; }
  widgets::Fonts& fonts() override { return fonts_; }

  bool lay_out(const app::SurfaceSize& size, std::int64_t now_ms) override {
    const widgets::FrameInput input{size.width, size.height, size.safe.top, size.safe.right,
                                    size.safe.bottom, size.safe.left, now_ms};
    for (bool again = true; again;) {
      again = ui_.has_pending();  // what a tap changes is seen in the next
      ui_.begin_frame(input);
      if (gallery_.draw(ui_)) ui_.set_theme(widgets::make_theme(gallery_.look()));
      ui_.end_frame();
    }
    return ui_.animating();
  }

 private:
  widgets::Fonts& fonts_;
  widgets::Ui ui_;
  screens::Gallery gallery_;
};

}  // namespace

std::unique_ptr<app::Surface> make_gallery(widgets::Fonts& fonts) {
  return std::make_unique<GallerySurface>(fonts);
}

}  // namespace nthtree::shell
