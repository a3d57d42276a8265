// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "widgets/controls.h"

namespace nthtree::widgets {

namespace {

constexpr float label_air = 16;  // beside and between the words of a part

// How the parts lie: side by side, equally wide where that does for the words, by need where it
// does not; below one another only where even that would break a word.
struct Parts {
  std::vector<float> widths;
  float height = 0;
  bool stacked = false;
};

std::vector<float> widths_by_need(Ui& ui, const Segments& spec) {
  std::vector<float> widths;
  float sum = 0;
  for (const Choice& item : spec.items) {
    const float words = ui.fonts().measure(Type::strong, item.label).w;
    widths.push_back(std::max(ui.theme().target, words + label_air + 2));
    sum += widths.back();
  }
  if (sum > ui.width()) return {};
  for (float& width : widths) width *= ui.width() / sum;
  return widths;
}

Parts parts_of(Ui& ui, const Segments& spec) {
  Parts parts;
  const float count = static_cast<float>(std::max<std::size_t>(1, spec.items.size()));
  parts.widths.assign(spec.items.size(), ui.width() / count);
  parts.height = ui.theme().target;
  bool one_line = true;
  for (const Choice& item : spec.items) {
    const Lines& lines =
        ui.fonts().wrap(Type::strong, item.label, ui.width() / count - label_air);
    parts.stacked = parts.stacked || lines.word_broken;
    one_line = one_line && lines.lines.size() < 2;
    parts.height = std::max(parts.height, lines.size.h + 18);
  }
  if (one_line && !parts.stacked) return parts;
  if (auto widths = widths_by_need(ui, spec); !widths.empty()) {
    return {std::move(widths),
            std::max(ui.theme().target, ui.fonts().height(Type::strong) + 18), false};
  }
  if (!parts.stacked) return parts;
  parts.height = ui.theme().target;
  for (const Choice& item : spec.items) {
    const float label_w = ui.width() - 24;
    parts.height = std::max(
        parts.height, ui.painter().text_height(item.label, Type::strong, label_w) + 18);
  }
  return parts;
}

}  // namespace

int segments(Ui& ui, const Segments& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float label_h =
      spec.hide_label ? 0 : painter.text_height(spec.label, Type::body, ui.width()) + 4;
  const Parts parts = parts_of(ui, spec);
  const float part_h = parts.height;
  const float rows = parts.stacked ? static_cast<float>(spec.items.size()) : 1;
  const Rect box = ui.take(label_h + rows * part_h);
  ui.open_group({.id = spec.id, .role = spec.tabs ? Role::tablist : Role::radiogroup,
                 .label = spec.label, .rect = box});
  if (!spec.hide_label) {
    painter.text({box.x, box.y, box.w, label_h - 4}, spec.label, {.color = theme.page.ink});
  }
  const Rect frame = {box.x, box.y + label_h, box.w, rows * part_h};
  painter.fill(frame, theme.quiet.back, theme.round);
  int selected = spec.selected;
  float left = frame.x;
  for (std::size_t i = 0; i < spec.items.size(); ++i) {
    const Choice& item = spec.items[i];
    const float at = static_cast<float>(i);
    const Rect part = parts.stacked ? Rect{frame.x, frame.y + at * part_h, frame.w, part_h}
                                    : Rect{left, frame.y, parts.widths[i], part_h};
    left += parts.widths[i];
    const bool chosen = static_cast<int>(i) == spec.selected;
    Control control{.id = item.id, .role = spec.tabs ? Role::tab : Role::radio,
                    .label = item.label, .rect = part};
    (spec.tabs ? control.selected : control.checked) = chosen ? Tri::yes : Tri::no;
    ui.add(std::move(control), {.id = item.id});
    if (chosen) {
      painter.fill(part.inset(3), theme.primary.back, theme.round - 3);
      // A bar below the words as well, so that the choice shows without its colour.
      const float mark = std::min(part.w * 0.4f, 64.0f);
      painter.fill({part.x + (part.w - mark) / 2, part.bottom() - 9, mark, 3},
                   theme.primary.ink, 1.5f);
    } else if (ui.is_pressed(item.id)) {
      painter.fill(part.inset(3), fade(theme.quiet.ink, 0.18f), theme.round - 3);
    }
    painter.text(part.inset(8), item.label,
                 {.type = Type::strong, .color = chosen ? theme.primary.ink : theme.quiet.ink,
                  .align = Align::center});
    ui.draw_focus(part, item.id);
    if (ui.taps(item.id)) selected = static_cast<int>(i);
  }
  ui.close_group();
  return selected;
}

bool toggle(Ui& ui, const Toggle& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float knob_w = 60, knob_h = 34;
  const float text_w = ui.width() - knob_w - theme.gap - 28;
  const float label_h = painter.text_height(spec.label, Type::strong, text_w);
  const float detail_h =
      spec.detail.empty() ? 0 : painter.text_height(spec.detail, Type::small, text_w);
  const Rect box = ui.take(std::max(theme.target + 4, label_h + detail_h + 22));
  ui.add({.id = spec.id, .role = Role::toggle, .label = spec.label, .hint = spec.detail,
          .checked = spec.on ? Tri::yes : Tri::no, .rect = box}, {.id = spec.id});
  painter.fill(box, theme.card.back, theme.round);
  if (ui.is_pressed(spec.id)) painter.fill(box, fade(theme.card.ink, 0.12f), theme.round);
  painter.outline(box, theme.line, theme.round, 1);
  const float y = box.y + (box.h - label_h - detail_h) / 2;
  painter.text({box.x + 14, y, text_w, label_h}, spec.label,
               {.type = Type::strong, .color = theme.card.ink, .middle = false});
  if (detail_h > 0) {
    painter.text({box.x + 14, y + label_h, text_w, detail_h}, spec.detail,
                 {.type = Type::small, .color = theme.faint_ink, .middle = false});
  }
  const Rect knob = {box.right() - 14 - knob_w, box.y + (box.h - knob_h) / 2, knob_w, knob_h};
  const float r = knob_h / 2 - 4;
  if (spec.on) {
    painter.fill(knob, theme.primary.back, knob_h / 2);
    const Point middle = {knob.right() - r - 4, knob.y + knob_h / 2};
    painter.disc(middle, r, theme.primary.ink);
    painter.glyph(Glyph::check, {middle.x - 8, middle.y - 8, 16, 16}, theme.primary.back);
  } else {
    painter.outline(knob, theme.faint_ink, knob_h / 2, 2.5f);
    painter.disc({knob.x + r + 4, knob.y + knob_h / 2}, r, theme.faint_ink);
  }
  ui.draw_focus(box, spec.id);
  return ui.taps(spec.id) % 2 == 1;
}

}  // namespace nthtree::widgets
