// SPDX-License-Identifier: Apache-2.0
// Weak, middling, strong: three outlines of a tree, one tap.
#include <algorithm>
#include <array>
#include <vector>

#include "widgets/controls.h"

namespace nthtree::widgets {
namespace {

constexpr float outline_h = 52, rim = 8;
constexpr std::array<float, 3> scales = {0.5f, 0.75f, 1.0f};

// A trained tree against the ground: its crown from a low bough to the tip, on a piece of trunk.
void draw_outline(Painter& painter, const Rect& box, float scale, Color color) {
  constexpr std::array<Point, 5> right = {
      {{0, 1}, {0.16f, 0.82f}, {0.26f, 0.56f}, {0.40f, 0.28f}, {0.10f, 0.20f}}};
  const float middle = box.x + box.w / 2, tall = scale * box.h;
  const auto at = [&](const Point& p, float side) {
    return Point{middle + side * p.x * tall, box.bottom() - p.y * tall};
  };
  std::vector<Point> crown;
  for (const Point& p : right) crown.push_back(at(p, 1));
  for (auto p = right.rbegin(); p + 1 != right.rend(); ++p) crown.push_back(at(*p, -1));
  painter.polyline(crown, color, 2.5f, true);
  painter.line(at({0, 0}, 1), at({0, 0.2f}, 1), color, 2 + 3 * scale);
  painter.line({middle - 0.42f * box.h, box.bottom()}, {middle + 0.42f * box.h, box.bottom()},
               color, 1.5f);
}

}  // namespace

int size_choice(Ui& ui, const SizeChoice& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float part_w = ui.width() / static_cast<float>(scales.size());
  const float words_w = part_w - rim;
  float words_h = 0;
  for (const Choice& item : spec.items) {
    words_h = std::max(words_h, painter.text_height(item.label, Type::small, words_w));
  }
  const float label_h = painter.text_height(spec.label, Type::body, ui.width()) + 4;
  const Rect box = ui.take(label_h + outline_h + words_h + 3 * rim);
  ui.open_group({.id = spec.id, .role = Role::radiogroup, .label = spec.label, .rect = box});
  painter.text({box.x, box.y, box.w, label_h - 4}, spec.label, {.color = theme.page.ink});
  painter.fill({box.x, box.y + label_h, box.w, box.h - label_h}, theme.quiet.back, theme.round);
  int selected = spec.selected;
  for (std::size_t i = 0; i < scales.size() && i < spec.items.size(); ++i) {
    const Choice& item = spec.items[i];
    const bool chosen = static_cast<int>(i) == spec.selected;
    const Rect part = {box.x + static_cast<float>(i) * part_w, box.y + label_h, part_w,
                       box.h - label_h};
    ui.add({.id = item.id, .role = Role::radio, .label = item.label,
            .checked = chosen ? Tri::yes : Tri::no, .rect = part}, {.id = item.id});
    const Pair colors = chosen ? theme.primary : theme.quiet;
    if (chosen) painter.fill(part.inset(3), colors.back, theme.round - 3);
    if (ui.is_pressed(item.id)) painter.fill(part.inset(3), fade(colors.ink, 0.18f), theme.round);
    draw_outline(painter, {part.x, part.y + rim, part_w, outline_h}, scales[i], colors.ink);
    painter.text({part.x + rim / 2, part.bottom() - words_h - rim, words_w, words_h}, item.label,
                 {.type = Type::small, .color = colors.ink, .align = Align::center});
    ui.draw_focus(part, item.id);
    if (ui.taps(item.id)) selected = static_cast<int>(i);
  }
  ui.close_group();
  return selected;
}

}  // namespace nthtree::widgets
