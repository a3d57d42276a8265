// SPDX-License-Identifier: Apache-2.0
// The limb rule and the drawn limbs, as one drawing without a word: a tree whose limbs are numbered
// from the bottom up, each in one look with the piece of leader below it.
#include <algorithm>
#include <cmath>
#include <string>

#include "widgets/charts.h"

namespace nthtree::widgets {
namespace {

struct Shape {
  Rect box;
  int limbs = 0;
  float middle = 0, step = 0, bottom = 0, reach = 0;

  // Where limb i leaves the leader; i = 0 is the ground.
  float height(int i) const { return bottom - step * (static_cast<float>(i) - 0.35f); }
  bool is_top(int i) const { return i == limbs; }
  Point foot(int i) const { return {middle, is_top(i) ? height(i) + 0.5f * step : height(i)}; }
  Point tip(int i) const {
    if (is_top(i)) return {middle, box.y + 22};
    const float shrink = 1 - 0.55f * static_cast<float>(i) / static_cast<float>(limbs);
    const float way = i % 2 == 1 ? 1.0f : -1.0f;
    return {middle + way * reach * shrink, height(i) - 0.45f * std::min(step, 26.0f)};
  }
};

Shape shape_of(const Rect& box, int limbs) {
  Shape shape{.box = box, .limbs = limbs};
  shape.middle = box.x + box.w / 2;
  shape.bottom = box.bottom() - 14;
  shape.step = (shape.bottom - box.y - 40) / (static_cast<float>(limbs) + 0.4f);
  shape.reach = std::min(0.40f * box.w, 170.0f);
  return shape;
}

// How a piece looks: its wood, the edge around it, the spurs on it.
struct Look {
  Color wood = 0, edge = 0, spur = 0;
};

// A limb and the piece of leader that belongs to it, as one: the edge first, so that it runs around
// both.
void draw_wood(Ui& ui, const Shape& shape, int i, const Look& look, float thick) {
  Painter& painter = ui.painter();
  const Point below = i == 1 ? Point{shape.middle, shape.bottom} : shape.foot(i - 1);
  const Point foot = shape.foot(i), tip = shape.tip(i);
  const float gap = i == 1 ? 0 : thick / 2 + 1;  // so that pieces on the leader stand apart
  for (const bool edge : {true, false}) {
    const float wide = thick + (edge ? 3.0f : 0.0f);
    const Color color = edge ? look.edge : look.wood;
    painter.line({below.x, below.y - gap}, foot, color, wide);
    painter.line(foot, tip, color, wide);
    for (const Point end : {foot, tip}) painter.disc(end, wide / 2, color);
  }
}

void draw_spurs(Ui& ui, const Shape& shape, int i, const Look& look, float radius) {
  const Point below = i == 1 ? Point{shape.middle, shape.bottom} : shape.foot(i - 1);
  const Point foot = shape.foot(i), tip = shape.tip(i);
  for (const float part : {0.25f, 0.5f, 0.75f}) {
    ui.painter().disc({foot.x + part * (tip.x - foot.x), foot.y + part * (tip.y - foot.y)}, radius,
                      look.spur);
  }
  ui.painter().disc({shape.middle, 0.6f * below.y + 0.4f * foot.y}, radius, look.spur);
}

void draw_number(Ui& ui, const Shape& shape, int i, Pair colors, float radius) {
  Painter& painter = ui.painter();
  Point at = shape.tip(i);
  if (!shape.is_top(i)) at.x += (i % 2 == 1 ? 1.0f : -1.0f) * (radius + 2);
  painter.disc(at, radius, colors.back);
  painter.ring(at, radius, colors.ink, 1.5f);
  painter.text({at.x - radius, at.y - radius, 2 * radius, 2 * radius}, std::to_string(i),
               {.type = Type::small, .color = colors.ink, .align = Align::center});
}

// Dark and light by turns, as on a surveyor's pole: which spurs go with which number is seen
// without a word and without colours.
void draw_rule(Ui& ui, const Shape& shape, float radius) {
  const Theme& theme = ui.theme();
  const Look dark{theme.chart_line, theme.chart_line, theme.card.back};
  const Look light{theme.chart_band, theme.chart_line, theme.chart_line};
  const float thick = std::clamp(0.45f * shape.step, 8.0f, 17.0f);
  const auto look = [&](int i) { return i % 2 == 0 ? dark : light; };
  for (int i = shape.limbs; i >= 1; --i) draw_wood(ui, shape, i, look(i), thick);
  for (int i = 1; i <= shape.limbs; ++i) {
    draw_spurs(ui, shape, i, look(i), 0.25f * thick);
    draw_number(ui, shape, i, {look(i).spur, look(i).wood}, radius);
  }
}

// All limbs thin, the drawn ones thick and numbered.
void draw_drawn(Ui& ui, const Shape& shape, const LimbPicture& spec, float radius) {
  const Theme& theme = ui.theme();
  const auto drawn = [&](int i) { return i >= spec.start && (i - spec.start) % spec.step == 0; };
  const Look other{theme.faint_ink, theme.card.back, theme.faint_ink};
  const Look counted{theme.chart_line, theme.card.back, theme.chart_line};
  for (int i = shape.limbs; i >= 1; --i) {
    draw_wood(ui, shape, i, drawn(i) ? counted : other, drawn(i) ? 6.0f : 2.0f);
  }
  for (int i = spec.start; i <= shape.limbs; i += spec.step) {
    draw_number(ui, shape, i, i == spec.now ? theme.primary : theme.card, radius);
  }
}

}  // namespace

void limb_picture(Ui& ui, const LimbPicture& spec) {
  const Theme& theme = ui.theme();
  const bool rule = spec.step < 1;  // which piece belongs to which limb
  const int limbs = std::clamp(spec.limbs, 2, 100);
  const Rect box = ui.take(spec.height);
  ui.add({.id = spec.id, .role = Role::image, .label = spec.label, .rect = box});
  ui.painter().fill(box, theme.card.back, theme.round);
  ui.painter().outline(box, theme.line, theme.round, 1);
  const Shape shape = shape_of(box, limbs);
  const float radius = 0.5f * ui.fonts().height(Type::small) + 4;
  ui.painter().line({box.x + chart_pad, shape.bottom}, {box.right() - chart_pad, shape.bottom},
                    theme.line, 2);
  if (rule) {
    draw_rule(ui, shape, radius);
  } else {
    draw_drawn(ui, shape, spec, radius);
  }
}

}  // namespace nthtree::widgets
