// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <utility>

#include "widgets/controls.h"

namespace nthtree::widgets {
namespace {

constexpr float side_pad = 14;

// The same line serves lists (with an arrow) and radio lists (with a ring).
struct RowParts {
  const ChoiceRow& spec;
  bool radio = false;
  bool chosen = false;
};

// Up to 45 % of the row, and as much as the longest word needs: a word is never cut.
float trailing_width(Ui& ui, const std::string& trailing, float usable) {
  if (trailing.empty()) return 0;
  float word_w = 0;
  for (std::size_t from = 0; from < trailing.size();) {
    const std::size_t to = std::min(trailing.find(' ', from), trailing.size());
    const std::string word = trailing.substr(from, to - from);
    word_w = std::max(word_w, ui.fonts().measure(Type::strong, word).w);
    from = to + 1;
  }
  const float whole_w = ui.fonts().measure(Type::strong, trailing).w;
  return std::min(whole_w, std::max(usable * 0.45f, word_w)) + 10;
}

Rect draw_row(Ui& ui, const RowParts& row) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const ChoiceRow& spec = row.spec;
  const float grown = std::min(theme.look.text_scale, 1.3f);
  const float left_w = row.radio ? 38.0f : spec.glyph != Glyph::dot ? 12 + 26 * grown : 0.0f;
  const float arrow_w = spec.arrow && !row.radio ? 26.0f : 0.0f;
  const float usable = ui.width() - 2 * side_pad - left_w - arrow_w;
  const float trailing_w = trailing_width(ui, spec.trailing, usable);
  const float text_w = usable - trailing_w;
  const float label_h = painter.text_height(spec.label, Type::strong, text_w);
  const float detail_h =
      spec.detail.empty() ? 0 : painter.text_height(spec.detail, Type::small, text_w);
  const float trailing_h =
      spec.trailing.empty() ? 0 : painter.text_height(spec.trailing, Type::strong, trailing_w);
  const float height = std::max({theme.target + 4, label_h + detail_h + 22, trailing_h + 22});
  const Rect box = ui.take(height);

  painter.fill(box, theme.card.back, theme.round);
  if (ui.is_pressed(spec.id)) painter.fill(box, fade(theme.card.ink, 0.12f), theme.round);
  const bool marked = spec.current || row.chosen;
  painter.outline(box, marked ? theme.primary.back : theme.line, theme.round, marked ? 3 : 1);
  const Color ink = spec.enabled ? theme.card.ink : theme.faint_ink;
  if (row.radio) {
    const Point middle = {box.x + side_pad + 12, box.y + box.h / 2};
    painter.ring(middle, 11, ink, 2.4f);
    if (row.chosen) painter.disc(middle, 6, ink);
  } else if (spec.glyph != Glyph::dot) {
    painter.glyph(spec.glyph, {box.x + side_pad, box.y, 26 * grown, box.h}, ink);
  }
  const float x = box.x + side_pad + left_w;
  const float y = box.y + (box.h - label_h - detail_h) / 2;
  painter.text({x, y, text_w, label_h}, spec.label,
               {.type = Type::strong, .color = ink, .middle = false});
  if (detail_h > 0) {
    painter.text({x, y + label_h, text_w, detail_h}, spec.detail,
                 {.type = Type::small, .color = theme.faint_ink, .middle = false});
  }
  if (trailing_w > 0) {
    painter.text({x + text_w, box.y, trailing_w, box.h}, spec.trailing,
                 {.type = Type::strong, .color = ink, .align = Align::right});
  }
  if (arrow_w > 0) {
    painter.glyph(Glyph::forward, {box.right() - side_pad - 18, box.y, 18, box.h},
                  theme.faint_ink);
  }
  ui.draw_focus(box, spec.id);
  return box;
}

// What is read after the row's name.
std::string description(Ui& ui, const ChoiceRow& spec) {
  std::string text = ui.roomy_text();
  text += spec.detail;
  if (!text.empty() && !spec.trailing.empty()) text += ", ";
  text += spec.trailing;
  return text;
}

}  // namespace

int choice_row(Ui& ui, const ChoiceRow& spec) {
  // Added before it is drawn so that its texts know their owner; the box is set after.
  Control control{.id = spec.id, .role = Role::button, .label = spec.label,
                  .hint = description(ui, spec),
                  .enabled = spec.enabled, .current = spec.current, .position = spec.position,
                  .set_size = spec.set_size};
  ui.painter().owner(spec.id);
  control.rect = draw_row(ui, {spec});
  ui.add(std::move(control), {.id = spec.id});
  return ui.taps(spec.id);
}

int radio_list(Ui& ui, const RadioList& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  int selected = spec.selected;
  const int group = ui.open_group({.id = spec.id, .role = Role::radiogroup, .label = spec.label,
                                   .rect = ui.peek(theme.target)});
  const float label_h = painter.text_height(spec.label, Type::strong, ui.width());
  const Rect label = ui.take(label_h);
  painter.owner(spec.id);
  painter.text(label, spec.label, {.type = Type::strong, .color = theme.page.ink});
  for (std::size_t i = 0; i < spec.items.size(); ++i) {
    const ChoiceRow& item = spec.items[i];
    const bool chosen = static_cast<int>(i) == spec.selected;
    painter.owner(item.id);
    const Rect box = draw_row(ui, {item, true, chosen});
    ui.add({.id = item.id, .role = Role::radio, .label = item.label,
            .hint = description(ui, item),
            .enabled = item.enabled, .checked = chosen ? Tri::yes : Tri::no, .rect = box},
           {.id = item.id});
    if (ui.taps(item.id)) selected = static_cast<int>(i);
    ui.at(group).rect.h = box.bottom() - ui.at(group).rect.y;
  }
  ui.close_group();
  return selected;
}

}  // namespace nthtree::widgets
