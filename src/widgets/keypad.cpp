// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "widgets/controls.h"
#include "widgets/language.h"

namespace nthtree::widgets {

namespace {

void show_value(Ui& ui, const Keypad& spec, const Rect& value_box) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const std::string value = spec.value.empty() ? "–" : spec.value;
  ui.add({.id = spec.id + "/value", .role = Role::status, .label = spec.label + ": " + value,
          .rect = value_box});
  painter.fill(value_box, theme.field.back, theme.round);
  painter.outline(value_box, theme.line, theme.round, 2);
  const bool huge = ui.fonts().measure(Type::huge, value).w < value_box.w * 0.7f;
  const float unit_w =
      spec.unit.empty() ? 0 : ui.fonts().measure(Type::body, spec.unit).w + theme.edge;
  painter.text({value_box.x + theme.edge, value_box.y, value_box.w - 2 * theme.edge - unit_w,
                value_box.h},
               value, {.type = huge ? Type::huge : Type::figure, .color = theme.field.ink,
                       .align = Align::right, .wrap = false});
  if (unit_w > 0) {
    painter.text({value_box.right() - unit_w - 4, value_box.y, unit_w, value_box.h}, spec.unit,
                 {.color = theme.faint_ink, .wrap = false});
  }
}

}  // namespace

std::string keypad(Ui& ui, const Keypad& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float shown_h = spec.hide_value ? -theme.gap : ui.fonts().height(Type::huge);
  const float gap = 8;
  const float left = ui.room() - spec.leave - shown_h - theme.gap;
  const float key_h = std::clamp((left - 3 * gap) / 4, theme.target, 112.0f);
  const Rect box = ui.take(shown_h + theme.gap + 4 * key_h + 3 * gap);
  ui.open_group({.id = spec.id, .role = Role::group, .label = spec.label, .rect = box});
  if (!spec.hide_value) show_value(ui, spec, {box.x, box.y, box.w, shown_h});
  static constexpr char keys[] = "123456789b0c";
  std::string typed;
  const float key_w = (box.w - 2 * gap) / 3;
  for (int i = 0; i < 12; ++i) {
    char key = keys[i];
    if (key == 'c' && spec.decimals) key = '.';
    const Rect part = {box.x + static_cast<float>(i % 3) * (key_w + gap),
                       box.y + shown_h + theme.gap + static_cast<float>(i / 3) * (key_h + gap),
                       key_w, key_h};
    const std::string id = spec.id + "/" + key;
    const std::string label = key == 'b'   ? tr("frame.rub_out")
                              : key == 'c' ? tr("frame.clear")
                              : key == '.' ? tr("format.decimal")
                                           : std::string(1, key);
    ui.add({.id = id, .role = Role::button, .label = label, .rect = part},
           {.id = id, .on_touch = true});
    const bool digit = key != 'b' && key != 'c';
    painter.fill(part, digit ? theme.card.back : theme.quiet.back, theme.round);
    if (ui.is_pressed(id)) painter.fill(part, fade(theme.card.ink, 0.2f), theme.round);
    if (digit) painter.outline(part, theme.line, theme.round, 1.5f);
    painter.text(part.inset(4), label,
                 {.type = digit ? Type::figure : Type::small, .color = theme.card.ink,
                  .align = Align::center});
    ui.draw_focus(part, id);
    typed.append(static_cast<std::size_t>(ui.taps(id)), key);
  }
  ui.close_group();
  return typed;
}

}  // namespace nthtree::widgets
