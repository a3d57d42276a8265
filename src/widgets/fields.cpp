// SPDX-License-Identifier: Apache-2.0
// Boxes for text. What is drawn here is what stands in them while nobody types; the browser's own
// input element lies exactly over the box and shows itself while it has the focus.
#include <algorithm>

#include "widgets/controls.h"

namespace nthtree::widgets {
namespace {

struct Box {
  std::string id, label, value, shown, hint, error;
  Role role = Role::textbox;
  bool numeric = false, multiline = false, enabled = true;
};

std::optional<std::string> draw_field(Ui& ui, const Box& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float w = ui.width();
  const float label_h = painter.text_height(spec.label, Type::body, w);
  const std::string& shown = spec.shown.empty() ? spec.value : spec.shown;
  const float text_h = painter.text_height(shown, Type::body, w - 28);
  const float box_h = spec.multiline ? std::max(theme.target * 2, text_h + 24)
                                     : std::max(theme.target, 0.0f);
  const float error_h =
      spec.error.empty() ? 0 : painter.text_height(spec.error, Type::small, w - 28) + 6;
  const Rect all = ui.take(label_h + 4 + box_h + error_h);
  const Rect box = {all.x, all.y + label_h + 4, all.w, box_h};
  ui.add({.id = spec.id, .role = spec.role, .label = spec.label, .value = spec.value,
          .hint = spec.error.empty() ? spec.hint : spec.error, .enabled = spec.enabled,
          .rect = box, .multiline = spec.multiline, .numeric = spec.numeric},
         {.id = spec.id, .takes_text = true});
  painter.text({all.x, all.y, all.w, label_h}, spec.label, {.color = theme.page.ink});
  painter.fill(box, theme.field.back, theme.round);
  const bool wrong = !spec.error.empty();
  painter.outline(box, wrong ? theme.chart_mark : theme.faint_ink, theme.round, wrong ? 3 : 2);
  const Rect text = {box.x + 14, box.y + (spec.multiline ? 12 : 0), box.w - 28,
                     box.h - (spec.multiline ? 24 : 0)};
  if (shown.empty()) {
    painter.text(text, spec.hint,
                 {.color = theme.faint_ink, .middle = !spec.multiline, .wrap = spec.multiline,
                  .shorten = !spec.multiline});
  } else {
    painter.text(text, shown,
                 {.color = theme.field.ink, .middle = !spec.multiline, .wrap = spec.multiline,
                  .shorten = !spec.multiline});
  }
  if (wrong) {
    const Color ink = theme.look.dusk ? theme.trouble.ink : theme.danger.back;
    painter.glyph(Glyph::trouble, {box.x, box.bottom() + 6, 20, 20}, ink);
    painter.text({box.x + 28, box.bottom() + 6, w - 28, error_h - 6}, spec.error,
                 {.type = Type::small, .color = ink, .middle = false});
  }
  ui.draw_focus(box, spec.id);
  ui.taps(spec.id);  // a tap only moved the focus, which the event watch did already
  return ui.typed(spec.id);
}

}  // namespace

std::optional<std::string> text_field(Ui& ui, const TextField& spec) {
  return draw_field(ui, {.id = spec.id, .label = spec.label, .value = spec.value,
                         .hint = spec.hint, .error = spec.error, .numeric = spec.numeric,
                         .multiline = spec.multiline, .enabled = spec.enabled});
}

std::optional<std::string> date_field(Ui& ui, const DateField& spec) {
  return draw_field(ui, {.id = spec.id, .label = spec.label, .value = spec.value,
                         .shown = spec.shown, .error = spec.error, .role = Role::date});
}

}  // namespace nthtree::widgets
