// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "widgets/controls.h"

namespace nthtree::widgets {

int tap_pad(Ui& ui, const TapPad& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float inner = ui.width() - 2 * theme.edge;
  const float caption_h =
      spec.caption.empty() ? 0 : painter.text_height(spec.caption, Type::body, inner);
  const float label_h = painter.text_height(spec.label, Type::strong, inner);
  const bool digits = spec.value.find_first_not_of("0123456789") == std::string::npos;
  const bool giant = digits && ui.room() - spec.leave > 300 &&
                     ui.fonts().measure(Type::giant, spec.value).w <= inner;
  const Type type = giant ? Type::giant : Type::huge;
  const float figure_h = ui.fonts().height(type);
  const float least = std::max(spec.height_min,
                               figure_h + caption_h + label_h + 2 * theme.edge + 2 * theme.gap);
  const float height = std::max(least, ui.room() - spec.leave);
  const Rect box = spec.stretch ? ui.take_stretched(height) : ui.take(height);
  ui.add({.id = spec.id, .role = Role::button, .label = spec.label,
          .hint = spec.value + (spec.caption.empty() ? "" : " " + spec.caption), .rect = box},
         {.id = spec.id, .on_touch = true, .at_once = spec.at_once});
  const Pair colors = ui.is_pressed(spec.id) ? theme.pad_pressed : theme.pad;
  painter.fill(box, colors.back, theme.round + 10);
  painter.outline(box.inset(5), fade(colors.ink, 0.28f), theme.round + 6, 2);
  const float total = figure_h + caption_h;
  const float top = box.y + std::max(theme.edge, (box.h - label_h - theme.edge - total) / 2);
  painter.text({box.x + theme.edge, top, inner, figure_h}, spec.value,
               {.type = type, .color = colors.ink, .align = Align::center, .wrap = false});
  if (!spec.caption.empty()) {
    painter.text({box.x + theme.edge, top + figure_h, inner, caption_h}, spec.caption,
                 {.color = colors.ink, .align = Align::center});
  }
  const Rect label = {box.x + theme.edge, box.bottom() - theme.edge - label_h, inner, label_h};
  painter.text(label, spec.label,
               {.type = Type::strong, .color = colors.ink, .align = Align::center});
  ui.draw_focus(box, spec.id);
  return ui.taps(spec.id);
}

}  // namespace nthtree::widgets
