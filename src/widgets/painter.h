// SPDX-License-Identifier: Apache-2.0
//
// Strokes, fills and texts, into Dear ImGui draw lists, without a Dear ImGui context: no window,
// no input state, none of its widgets; only its triangles and its type.
//
// Three layers: the scrolling page, the bars around it, and what lies above all. Every text drawn
// in a box is remembered with the room it needed, so that tests can find clipped words without a
// picture.
//
//   painter.fill(box, theme.card.back, 14);
//   painter.text(box, tr("save"), {.type = Type::strong, .color = theme.card.ink});
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "widgets/control.h"
#include "widgets/fonts.h"
#include "widgets/theme.h"

struct ImDrawList;
struct ImDrawListSharedData;

namespace nthtree::widgets {

enum class Layer { page, bars, above };
enum class Align { left, center, right };
enum class Glyph {  // shapes drawn by ourselves, so that they stay crisp at any size
  back, down, up, level, more, check, cross, plus, minus, undo, person, caution, trouble, dot,
  above, within, below,  // a number against its band
  forward, share, camera, cloud, cloud_off, phone, print, tree, bud, menu, gear, note, eye,
};

// What a draw command names where it wants the picture of AnyScript and not the letters.
constexpr std::uintptr_t second_texture = 1;

struct Point {
  float x = 0, y = 0;
};

struct TextStyle {
  Type type = Type::body;
  Color color = 0xFF000000u;
  Align align = Align::left;
  bool middle = true;   // vertically; false: from the top
  bool wrap = true;     // false: one line
  bool shorten = false; // an ellipsis where it does not fit (names only, never words of ours)
};

class Painter {
 public:
  explicit Painter(Fonts& fonts);
  ~Painter();

  void begin(float width, float height);
  void end();
  void layer(Layer layer);
  Layer layer() const { return layer_; }
  void depth(int level);          // 0 … 2: ground of a card that deep; 3: what stands on it
  void push_clip(const Rect& clip);
  void pop_clip();
  Rect clip() const { return clips_.back(); }

  void fill(const Rect& box, Color color, float round = 0);
  void outline(const Rect& box, Color color, float round = 0, float thick = 1);
  void line(Point a, Point b, Color color, float thick = 1);
  void dashed(Point a, Point b, Color color, float thick, float dash);
  void polyline(std::span<const Point> points, Color color, float thick, bool closed = false);
  void triangle(Point a, Point b, Point c, Color color);
  void polygon(std::span<const Point> points, Color color);  // convex
  void disc(Point middle, float radius, Color color);
  void ring(Point middle, float radius, Color color, float thick);
  void arc(Point middle, float radius, float from, float to, Color color, float thick);
  void glyph(Glyph glyph, const Rect& box, Color color);  // in the largest square that fits
  // Returns the height the text took.
  float text(const Rect& box, std::string_view text, const TextStyle& style);
  float text_height(std::string_view text, Type type, float width) const;

  void owner(std::string control_id) { owner_ = std::move(control_id); }
  const std::vector<TextFit>& texts() const { return texts_; }
  const std::vector<ImDrawList*>& lists() const { return order_; }  // bottom first

 private:
  ImDrawList& list();
  void line_of_text(Point at, std::string_view text, const TextStyle& style);
  void foreign_line(Point at, std::string_view text, const TextStyle& style);

  Fonts& fonts_;
  std::unique_ptr<ImDrawListSharedData> shared_;
  std::vector<std::unique_ptr<ImDrawList>> lists_;
  std::vector<ImDrawList*> order_;
  Layer layer_ = Layer::page;
  std::vector<Rect> clips_;
  std::string owner_;
  std::vector<TextFit> texts_;
};

}  // namespace nthtree::widgets
