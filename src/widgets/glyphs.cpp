// SPDX-License-Identifier: Apache-2.0
// The app's signs, drawn from strokes on a 24 unit square: crisp at any size, and none of them
// needs a font or a picture file.
#include <array>
#include <cmath>
#include <initializer_list>
#include <numbers>
#include <span>

#include "widgets/painter.h"

namespace nthtree::widgets {
namespace {

constexpr float pi = std::numbers::pi_v<float>;

// Maps the 24 unit square into the box and draws strokes of one weight.
struct Pen {
  Painter& painter;
  Color color;
  float x, y, unit;

  // Points of the square in the box, without asking the heap: lists show a sign a row.
  class Placed {
   public:
    Placed(const Pen& pen, std::initializer_list<Point> points) {
      for (const Point& p : points) points_[count_++] = pen.at(p.x, p.y);
    }
    std::span<const Point> all() const { return {points_.data(), count_}; }

   private:
    std::array<Point, 16> points_;  // more than any sign has in one go
    std::size_t count_ = 0;
  };

  Point at(float px, float py) const { return {x + px * unit, y + py * unit}; }
  void stroke(std::initializer_list<Point> points, bool closed = false,
              float weight = 2.4f) const {
    const Placed placed(*this, points);
    painter.polyline(placed.all(), color, weight * unit, closed);
    if (closed) return;
    painter.disc(placed.all().front(), weight * unit / 2, color);
    painter.disc(placed.all().back(), weight * unit / 2, color);
  }
  void leaf(std::initializer_list<Point> points) const {
    painter.polygon(Placed(*this, points).all(), color);
  }
  void disc(float px, float py, float r) const { painter.disc(at(px, py), r * unit, color); }
  void ring(float px, float py, float r, float weight = 2.4f) const {
    painter.ring(at(px, py), r * unit, color, weight * unit);
  }
  void arc(float px, float py, float r, float from, float to, float weight = 2.4f) const {
    painter.arc(at(px, py), r * unit, from, to, color, weight * unit);
  }
  void triangle(Point a, Point b, Point c) const {
    painter.triangle(at(a.x, a.y), at(b.x, b.y), at(c.x, c.y), color);
  }
  void box(float px, float py, float w, float h, float round = 0) const {
    painter.fill({x + px * unit, y + py * unit, w * unit, h * unit}, color, round * unit);
  }
  void frame(float px, float py, float w, float h, float round, float weight = 2.4f) const {
    painter.outline({x + px * unit, y + py * unit, w * unit, h * unit}, color, round * unit,
                    weight * unit);
  }
};

void arrow(const Pen& pen, bool down) {
  const float s = down ? 1.0f : -1.0f, c = 12;
  pen.painter.fill({pen.x + 9.0f * pen.unit, pen.y + (down ? 2.5f : 11.0f) * pen.unit,
                    6 * pen.unit, 10.5f * pen.unit}, pen.color);
  pen.triangle({c - 9, c + s * 0.8f}, {c + 9, c + s * 0.8f}, {c, c + s * 10});
}

// Where the number lies against the band: the band as two lines, the number as a disc. It must read
// at arm's length.
void band_sign(const Pen& pen, float low_line, float high_line, float disc) {
  for (const float line : {low_line, high_line}) pen.box(2, line - 1.5f, 20, 3, 1);
  pen.disc(12, disc, 4.4f);
}

void draw_signs(const Pen& pen, Glyph glyph) {
  switch (glyph) {
    case Glyph::back: pen.stroke({{15, 4}, {7, 12}, {15, 20}}); break;
    case Glyph::forward: pen.stroke({{9, 5}, {16, 12}, {9, 19}}); break;
    case Glyph::down: arrow(pen, true); break;
    case Glyph::up: arrow(pen, false); break;
    case Glyph::above: band_sign(pen, 21, 14, 5.5f); break;
    case Glyph::within: band_sign(pen, 21, 3, 12); break;
    case Glyph::below: band_sign(pen, 10, 3, 18.5f); break;
    case Glyph::level:
      pen.box(3, 6.5f, 18, 4, 1);
      pen.box(3, 13.5f, 18, 4, 1);
      break;
    case Glyph::more:
      for (float px : {5.0f, 12.0f, 19.0f}) pen.disc(px, 12, 2.6f);
      break;
    case Glyph::check: pen.stroke({{4, 13}, {10, 19}, {20, 6}}, false, 3); break;
    case Glyph::cross:
      pen.stroke({{6, 6}, {18, 18}});
      pen.stroke({{18, 6}, {6, 18}});
      break;
    case Glyph::plus:
      pen.stroke({{12, 4}, {12, 20}}, false, 3);
      pen.stroke({{4, 12}, {20, 12}}, false, 3);
      break;
    case Glyph::minus: pen.stroke({{4, 12}, {20, 12}}, false, 3); break;
    case Glyph::undo:
      pen.arc(13, 13, 6.5f, -pi / 2, pi * 0.75f);
      pen.stroke({{13, 6.5f}, {6, 6.5f}});
      pen.stroke({{9.5f, 2.8f}, {5.6f, 6.5f}, {9.5f, 10.2f}});
      break;
    case Glyph::caution:
      pen.stroke({{12, 3}, {22, 20.5f}, {2, 20.5f}}, true);
      pen.stroke({{12, 9.5f}, {12, 14}});
      pen.disc(12, 17.4f, 1.4f);
      break;
    case Glyph::trouble:
      pen.stroke({{8, 2.5f}, {16, 2.5f}, {21.5f, 8}, {21.5f, 16}, {16, 21.5f}, {8, 21.5f},
                  {2.5f, 16}, {2.5f, 8}}, true);
      pen.stroke({{12, 7}, {12, 13}});
      pen.disc(12, 16.8f, 1.4f);
      break;
    default: break;
  }
}

void draw_things(const Pen& pen, Glyph glyph) {
  switch (glyph) {
    case Glyph::person:
      pen.disc(12, 8, 4.2f);
      pen.painter.push_clip({pen.x, pen.y, 24 * pen.unit, 21 * pen.unit});
      pen.disc(12, 22, 8);
      pen.painter.pop_clip();
      break;
    case Glyph::share:
      pen.stroke({{12, 15}, {12, 3}});
      pen.stroke({{7.5f, 7.2f}, {12, 2.8f}, {16.5f, 7.2f}});
      pen.stroke({{6, 11}, {4, 11}, {4, 21}, {20, 21}, {20, 11}, {18, 11}});
      break;
    case Glyph::camera:
      pen.frame(2.5f, 6.5f, 19, 13.5f, 2.5f);
      pen.ring(12, 13.2f, 3.8f);
      pen.box(8.5f, 3.5f, 7, 4, 1);
      break;
    case Glyph::cloud:
    case Glyph::cloud_off:
      pen.arc(8, 14, 4.5f, pi * 0.5f, pi * 1.4f);
      pen.arc(12.5f, 10, 5.2f, pi * 1.08f, pi * 1.95f);
      pen.arc(17, 14.3f, 4.2f, -pi * 0.45f, pi * 0.5f);
      pen.stroke({{8, 18.5f}, {17, 18.5f}});
      if (glyph == Glyph::cloud_off) pen.stroke({{4, 3}, {20, 22}});
      break;
    case Glyph::phone:
      pen.frame(6, 2, 12, 20, 2.5f);
      pen.disc(12, 18.3f, 1.2f);
      break;
    default: break;
  }
}

void draw_more_things(const Pen& pen, Glyph glyph) {
  switch (glyph) {
    case Glyph::print:
      pen.frame(3, 8, 18, 9, 1.5f);
      pen.stroke({{7, 8}, {7, 3}, {17, 3}, {17, 8}});
      pen.frame(7, 14, 10, 7, 0.5f);
      break;
    case Glyph::tree:  // a trained tree in winter: trunk, leader, bare limbs with their spurs
      pen.stroke({{12, 22}, {12, 3}});
      pen.stroke({{12, 17}, {4, 12}});
      pen.stroke({{12, 17}, {20, 12}});
      pen.stroke({{12, 11}, {6, 6}}, false, 2);
      pen.stroke({{12, 11}, {18, 6}}, false, 2);
      for (Point p : {Point{4, 12}, {20, 12}, {6, 6}, {18, 6}, {12, 3}}) pen.disc(p.x, p.y, 2);
      break;
    case Glyph::bud:
      pen.leaf({{12, 2}, {16.5f, 7}, {17.5f, 12}, {15, 17}, {9, 17}, {6.5f, 12}, {7.5f, 7}});
      pen.stroke({{12, 17}, {12, 22}});
      break;
    case Glyph::menu:
      for (float py : {6.0f, 12.0f, 18.0f}) pen.stroke({{4, py}, {20, py}});
      break;
    case Glyph::gear:
      pen.ring(12, 12, 5.2f, 3);
      for (int i = 0; i < 8; ++i) {
        const float a = static_cast<float>(i) * pi / 4;
        pen.stroke({{12 + 6.4f * std::cos(a), 12 + 6.4f * std::sin(a)},
                    {12 + 9.2f * std::cos(a), 12 + 9.2f * std::sin(a)}}, false, 2.8f);
      }
      break;
    case Glyph::note:
      pen.frame(4, 3, 16, 18, 2);
      for (float py : {8.5f, 12.5f}) pen.stroke({{8, py}, {16, py}}, false, 2);
      pen.stroke({{8, 16.5f}, {12.5f, 16.5f}}, false, 2);
      break;
    case Glyph::eye:  // two lids, parts of one circle each
      pen.arc(12, 19, 12, pi * 1.2f, pi * 1.8f);
      pen.arc(12, 5, 12, pi * 0.2f, pi * 0.8f);
      pen.disc(12, 12, 3.4f);
      break;
    default: break;
  }
}

}  // namespace

void Painter::glyph(Glyph glyph, const Rect& box, Color color) {
  if (glyph == Glyph::dot) return;
  const float side = std::min(box.w, box.h);
  const Pen pen{*this, color, box.x + (box.w - side) / 2, box.y + (box.h - side) / 2, side / 24};
  draw_signs(pen, glyph);
  draw_things(pen, glyph);
  draw_more_things(pen, glyph);
}

}  // namespace nthtree::widgets
