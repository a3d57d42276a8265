// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "widgets/controls.h"

namespace nthtree::widgets {

int button(Ui& ui, const Button& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const bool sign = spec.glyph != Glyph::dot;
  const float sign_w = sign ? 24.0f : 0.0f;
  const float gap = sign && !spec.label.empty() ? 10.0f : 0.0f;
  const float text_w = ui.width() - 24 - sign_w - gap;
  const Size label = ui.fonts().wrap(Type::strong, spec.label, text_w).size;
  const float height = std::max({theme.target, spec.height, label.h + 22});
  const Rect box = ui.take_stretched(height);
  ui.add({.id = spec.id,
          .role = Role::button,
          .label = spec.name.empty() ? spec.label : spec.name,
          .hint = spec.hint,
          .enabled = spec.enabled,
          .pressed = spec.pressed,
          .position = spec.position,
          .rect = box},
         {.id = spec.id});
  const Pair colors = spec.kind == Kind::primary  ? theme.primary
                      : spec.kind == Kind::danger ? theme.danger
                                                  : theme.quiet;
  Color ink = colors.ink;
  if (spec.enabled) {
    painter.fill(box, colors.back, theme.round);
    if (ui.is_pressed(spec.id)) painter.fill(box, fade(colors.ink, 0.18f), theme.round);
  } else {
    painter.outline(box, theme.line, theme.round, 2);
    ink = theme.faint_ink;
  }
  const float shown = label.w + sign_w + gap;
  const float x = box.x + (box.w - shown) / 2;
  if (sign) painter.glyph(spec.glyph, {x, box.y, sign_w, box.h}, ink);
  const Rect text = sign ? Rect{x + sign_w + gap, box.y, label.w + 1, box.h}
                         : Rect{box.x + 12, box.y, text_w, box.h};
  painter.text(text, spec.label,
               {.type = Type::strong, .color = ink, .align = sign ? Align::left : Align::center});
  ui.draw_focus(box, spec.id);
  return ui.taps(spec.id);
}

}  // namespace nthtree::widgets
