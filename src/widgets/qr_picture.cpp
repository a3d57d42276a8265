// SPDX-License-Identifier: Apache-2.0
// A code that is shown to a camera, and the place where the camera's own picture stands.
#include <algorithm>
#include <cmath>

#include "widgets/charts.h"

namespace nthtree::widgets {
namespace {

constexpr int quiet_zone = 4;  // modules, ISO/IEC 18004

void draw_modules(Painter& painter, const Rect& box, float module, const QrPicture& spec) {
  painter.fill(box, rgb(0xFFFFFF));
  for (int row = 0; row < spec.size; ++row) {
    const auto dark = [&](int column) {
      return spec.modules[static_cast<std::size_t>(row * spec.size + column)];
    };
    for (int column = 0; column < spec.size;) {
      if (!dark(column)) {
        ++column;
        continue;
      }
      int end = column;
      while (end < spec.size && dark(end)) ++end;  // one strip for each run: fewer triangles
      painter.fill({box.x + module * static_cast<float>(column + quiet_zone),
                    box.y + module * static_cast<float>(row + quiet_zone),
                    module * static_cast<float>(end - column), module},
                   rgb(0x000000));
      column = end;
    }
  }
}

}  // namespace

void qr_picture(Ui& ui, const QrPicture& spec) {
  const float ratio = std::max(1.0f, ui.fonts().pixel_ratio());
  const int all = spec.size + 2 * quiet_zone;
  const float room = spec.edge_to_edge ? ui.input().width - ui.input().safe_left -
                                             ui.input().safe_right
                                       : ui.width();
  const float side = std::min(room, spec.width_max);
  const float module =
      std::max(1.0f, std::floor(side * ratio / static_cast<float>(all))) / ratio;
  const float width = module * static_cast<float>(all);
  const Rect line = ui.take(width);
  const auto whole = [ratio](float at) { return std::round(at * ratio) / ratio; };
  const Rect box = {whole(line.x + (line.w - width) / 2), whole(line.y), width, width};
  ui.add({.id = spec.id, .role = Role::image, .label = spec.label, .rect = box});
  draw_modules(ui.painter(), box, module, spec);
}

void viewfinder(Ui& ui, const Viewfinder& spec) {
  Painter& painter = ui.painter();
  const Rect box = ui.take(spec.height);
  ui.add({.id = spec.id, .role = Role::image, .label = spec.label, .rect = box});
  painter.fill(box, rgb(0x000000));
  painter.text(box.inset(16), spec.waiting, {.color = rgb(0xFFFFFF), .align = Align::center});
}

}  // namespace nthtree::widgets
