// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "widgets/controls.h"
#include "widgets/language.h"

namespace nthtree::widgets {

int stepper(Ui& ui, const Stepper& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float side = theme.target;
  const float label_h = painter.text_height(spec.label, Type::body, ui.width());
  const Rect box = ui.take(label_h + 4 + side);
  const std::string value = number(spec.value, spec.decimals);
  const std::string shown = spec.unit.empty() ? value : value + "\u00a0" + spec.unit;
  ui.open_group({.id = spec.id, .role = Role::group, .label = spec.label, .rect = box});
  ui.add({.id = spec.id + "/label", .role = Role::text, .label = spec.label + ": " + shown,
          .rect = {box.x, box.y, box.w, label_h}});
  painter.text({box.x, box.y, box.w, label_h}, spec.label, {.color = theme.page.ink});
  const float y = box.y + label_h + 4;
  const Rect less = {box.x, y, side * 1.25f, side};
  const Rect more = {box.right() - side * 1.25f, y, side * 1.25f, side};
  const Rect middle = {less.right() + 6, y, more.x - less.right() - 12, side};
  int change = 0;
  for (int i = 0; i < 2; ++i) {
    const Rect& part = i == 0 ? less : more;
    const std::string id = spec.id + (i == 0 ? "/less" : "/more");
    const bool enabled = i == 0 ? spec.value > spec.minimum : spec.value < spec.maximum;
    const std::string step = number(spec.step, spec.decimals);
    ui.add({.id = id, .role = Role::button,
            .label = tr(i == 0 ? "frame.less" : "frame.more",
                        {{"label", spec.label}, {"step", step}}),
            .enabled = enabled, .rect = part}, {.id = id, .repeats = true});
    if (enabled) {
      painter.fill(part, theme.quiet.back, theme.round);
      if (ui.is_pressed(id)) painter.fill(part, fade(theme.quiet.ink, 0.18f), theme.round);
    } else {
      painter.outline(part, theme.line, theme.round, 2);
    }
    painter.glyph(i == 0 ? Glyph::minus : Glyph::plus, part.inset((side - 24) / 2),
                  enabled ? theme.quiet.ink : theme.faint_ink);
    ui.draw_focus(part, id);
    change += (i == 0 ? -1 : 1) * ui.taps(id);
  }
  painter.text(middle, shown, {.type = Type::title, .color = theme.page.ink,
                               .align = Align::center});
  ui.close_group();
  return change;
}

}  // namespace nthtree::widgets
