// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <vector>

#include "widgets/charts.h"

namespace nthtree::widgets {
namespace {

constexpr float picture_w = 104, picture_h = 92, sign = 30, pad = 12;

// Draws on a sheet of 104 × 92, wood in ink, the bud that is meant in its own colour.
struct Sheet {
  Painter& painter;
  float x, y;
  Color wood, bud;

  Point at(float px, float py) const { return {x + px, y + py}; }
  void limb(Point from, Point to, float width) const {
    painter.line(at(from.x, from.y), at(to.x, to.y), wood, width);
    painter.disc(at(to.x, to.y), width / 2, wood);
  }
  // A bud of that length, pointing along the angle.
  void bud_at(float px, float py, float angle, float length, Color color) const {
    const float c = std::cos(angle), s = std::sin(angle), w = length * 0.34f;
    std::vector<Point> outline;
    for (const auto& [along, across] : {std::pair{0.0f, -0.6f}, {0.35f, -1.0f}, {0.7f, -0.7f},
                                        {1.0f, 0.0f}, {0.7f, 0.7f}, {0.35f, 1.0f}, {0.0f, 0.6f}}) {
      const float u = along * length, v = across * w;
      outline.push_back(at(px + c * u - s * v, py + s * u + c * v));
    }
    painter.polygon(outline, color);
  }
};

constexpr float up = -1.57f;

// Old wood with a short, ringed spur that ends in a thick bud.
void draw_spur(const Sheet& sheet) {
  sheet.limb({4, 80}, {100, 76}, 14);
  sheet.limb({50, 76}, {51, 46}, 10);
  for (const float ring : {66.0f, 57.0f, 48.0f}) sheet.limb({44, ring}, {57, ring}, 4);
  sheet.bud_at(51, 44, up, 34, sheet.bud);
}

// A shoot no longer than a hand, smooth, with a thick bud at its end.
void draw_shoot_end(const Sheet& sheet) {
  sheet.limb({4, 82}, {100, 78}, 14);
  sheet.limb({42, 78}, {58, 36}, 6);
  sheet.bud_at(58, 38, up + 0.35f, 30, sheet.bud);
}

// Long smooth wood of last summer with small buds along its side.
void draw_side_bud(const Sheet& sheet) {
  sheet.limb({8, 88}, {94, 8}, 7);
  for (const float along : {0.25f, 0.5f, 0.75f}) {
    const float px = 8 + 86 * along, py = 88 - 80 * along;
    sheet.bud_at(px - 1, py - 3, up - 0.1f, 15, sheet.bud);
  }
}

}  // namespace

void spur_picture(Ui& ui, const SpurPicture& spec) {
  const Theme& theme = ui.theme();
  Painter& painter = ui.painter();
  const float words_w = ui.width() - picture_w - sign - 2 * pad - 2 * theme.gap;
  const float words_h = painter.text_height(spec.label, Type::strong, words_w);
  const Rect box = ui.take(std::max(picture_h, words_h) + 2 * pad);
  ui.add({.id = spec.id, .role = Role::image, .label = spec.label, .rect = box});
  painter.fill(box, theme.card.back, theme.round);
  painter.outline(box, theme.line, theme.round, 1);
  const Color bud = spec.counts ? theme.on_target.back : theme.harder.back;
  const Sheet sheet{painter, box.x + pad, box.y + (box.h - picture_h) / 2, theme.faint_ink, bud};
  switch (spec.part) {
    case SpurPicture::Part::spur: draw_spur(sheet); break;
    case SpurPicture::Part::shoot_end: draw_shoot_end(sheet); break;
    case SpurPicture::Part::side_bud: draw_side_bud(sheet); break;
  }
  const float x = box.x + pad + picture_w + theme.gap;
  painter.glyph(spec.counts ? Glyph::check : Glyph::cross, {x, box.y, sign, box.h}, bud);
  painter.text({x + sign + theme.gap, box.y, words_w, box.h}, spec.label,
               {.type = Type::strong, .color = theme.card.ink});
}

}  // namespace nthtree::widgets
