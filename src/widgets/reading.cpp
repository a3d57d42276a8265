// SPDX-License-Identifier: Apache-2.0
#include "widgets/reading.h"

#include <algorithm>

namespace nthtree::widgets {
namespace {

void line_of_text(Ui& ui, std::string_view text, Type type, Color color) {
  Painter& painter = ui.painter();
  const Rect box = ui.take(painter.text_height(text, type, ui.width()));
  ui.add({.id = ui.next_text_id(), .role = Role::text, .label = std::string(text), .rect = box});
  painter.text(box, text, {.type = type, .color = color, .middle = false});
}

}  // namespace

void heading(Ui& ui, std::string_view text, int level) {
  Painter& painter = ui.painter();
  const Type type = level <= 2 ? Type::title : Type::strong;
  ui.space(level <= 2 ? 6 : 2);
  const Rect box = ui.take(painter.text_height(text, type, ui.width()));
  ui.add({.id = ui.next_text_id(), .role = Role::heading, .label = std::string(text),
          .level = level, .rect = box});
  painter.text(box, text, {.type = type, .color = ui.theme().page.ink, .middle = false});
}

void paragraph(Ui& ui, std::string_view text) {
  line_of_text(ui, text, Type::body, ui.theme().page.ink);
}

void small_print(Ui& ui, std::string_view text) {
  line_of_text(ui, text, Type::small, ui.theme().faint_ink);
}

void strong_line(Ui& ui, std::string_view text) {
  line_of_text(ui, text, Type::strong, ui.theme().page.ink);
}

void fact(Ui& ui, std::string_view label, std::string_view value) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float w = ui.width();
  const float value_w = ui.fonts().measure(Type::strong, value).w;
  const float label_w = ui.fonts().measure(Type::body, label).w;
  const std::string all = std::string(label) + ": " + std::string(value);
  if (label_w + value_w + theme.gap <= w) {
    const Rect box = ui.take(ui.fonts().height(Type::body));
    ui.add({.id = ui.next_text_id(), .role = Role::text, .label = all, .rect = box});
    painter.text({box.x, box.y, label_w + 1, box.h}, label, {.color = theme.faint_ink});
    painter.text({box.right() - value_w - 1, box.y, value_w + 1, box.h}, value,
                 {.type = Type::strong, .color = theme.page.ink, .align = Align::right});
    return;
  }
  // Too long for one line: the value below, so that neither is squeezed.
  const float label_h = painter.text_height(label, Type::body, w);
  const float value_h = painter.text_height(value, Type::strong, w);
  const Rect box = ui.take(label_h + value_h);
  ui.add({.id = ui.next_text_id(), .role = Role::text, .label = all, .rect = box});
  painter.text({box.x, box.y, w, label_h}, label, {.color = theme.faint_ink});
  painter.text({box.x, box.y + label_h, w, value_h}, value,
               {.type = Type::strong, .color = theme.page.ink});
}

void big_number(Ui& ui, std::string_view figure, std::string_view caption) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const bool huge = ui.fonts().measure(Type::huge, figure).w <= ui.width();
  const Type type = huge ? Type::huge : Type::figure;
  const float figure_h = ui.fonts().height(type);
  const float caption_h =
      caption.empty() ? 0 : painter.text_height(caption, Type::body, ui.width());
  const Rect box = ui.take(figure_h + caption_h);
  ui.add({.id = ui.next_text_id(), .role = Role::text,
          .label = std::string(figure) + " " + std::string(caption), .rect = box});
  painter.text({box.x, box.y, box.w, figure_h}, figure,
               {.type = type, .color = theme.page.ink, .align = Align::center, .wrap = false});
  painter.text({box.x, box.y + figure_h, box.w, caption_h}, caption,
               {.color = theme.faint_ink, .align = Align::center});
}

void rule(Ui& ui) {
  const Rect box = ui.take(1);
  ui.painter().fill(box, ui.theme().line);
}

void progress(Ui& ui, std::string_view id, std::string_view label, float share) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float label_h = painter.text_height(label, Type::body, ui.width());
  const Rect box = ui.take(label_h + 6 + 16);
  share = std::clamp(share, 0.0f, 1.0f);
  ui.add({.id = std::string(id), .role = Role::progress, .label = std::string(label),
          .minimum = 0, .maximum = 1, .now = share, .rect = box});
  painter.text({box.x, box.y, box.w, label_h}, label, {.color = theme.page.ink});
  const Rect track = {box.x, box.y + label_h + 6, box.w, 16};
  painter.fill(track, theme.quiet.back, 8);
  if (share > 0) {
    painter.fill({track.x, track.y, std::max(16.0f, track.w * share), 16}, theme.primary.back, 8);
  }
  painter.outline(track, theme.faint_ink, 8, 1.5f);
}

}  // namespace nthtree::widgets
