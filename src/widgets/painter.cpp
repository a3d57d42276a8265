// SPDX-License-Identifier: Apache-2.0
#include "widgets/painter.h"

#include <imgui.h>
#include <imgui_internal.h>

#include <algorithm>
#include <cmath>
#include <span>

namespace nthtree::widgets {
namespace {

constexpr int layer_count = 3;
constexpr int depth_count = 4;
const ImTextureID script_texture = reinterpret_cast<ImTextureID>(second_texture);

ImVec2 v(Point p) { return {p.x, p.y}; }
ImVec2 top_left(const Rect& r) { return {r.x, r.y}; }
ImVec2 bottom_right(const Rect& r) { return {r.x + r.w, r.y + r.h}; }

}  // namespace

Rect meet(const Rect& a, const Rect& b) {
  const float x = std::max(a.x, b.x), y = std::max(a.y, b.y);
  const float right = std::min(a.right(), b.right()), bottom = std::min(a.bottom(), b.bottom());
  if (right <= x || bottom <= y) return {x, y, 0, 0};
  return {x, y, right - x, bottom - y};
}

Painter::Painter(Fonts& fonts)
    : fonts_(fonts), shared_(std::make_unique<ImDrawListSharedData>()) {
  for (int i = 0; i < layer_count; ++i) {
    lists_.push_back(std::make_unique<ImDrawList>(shared_.get()));
    order_.push_back(lists_.back().get());
  }
}
Painter::~Painter() = default;

void Painter::begin(float width, float height) {
  ImFontAtlas* atlas = fonts_.atlas();
  shared_->TexUvWhitePixel = atlas->TexUvWhitePixel;
  shared_->TexUvLines = atlas->TexUvLines;
  shared_->Font = fonts_.font(Type::body);
  shared_->FontSize = fonts_.pixels(Type::body);
  shared_->CurveTessellationTol = 1.0f;
  shared_->SetCircleTessellationMaxError(0.2f);
  shared_->ClipRectFullscreen = {0, 0, width, height};
  shared_->InitialFlags = ImDrawListFlags_AntiAliasedLines | ImDrawListFlags_AntiAliasedFill |
                          ImDrawListFlags_AllowVtxOffset;
  fonts_.any_script().begin_frame();
  texts_.clear();
  clips_.assign(1, {0, 0, width, height});
  for (auto& list : lists_) {
    list->_ResetForNewFrame();
    list->PushTextureID(atlas->TexID);
    list->PushClipRect({0, 0}, {width, height});
  }
  lists_[0]->ChannelsSplit(depth_count);
  lists_[0]->ChannelsSetCurrent(depth_count - 1);
  layer_ = Layer::page;
}

void Painter::end() {
  while (clips_.size() > 1) pop_clip();
  lists_[0]->ChannelsMerge();
}

ImDrawList& Painter::list() { return *lists_[static_cast<std::size_t>(layer_)]; }
void Painter::layer(Layer layer) { layer_ = layer; }

void Painter::depth(int level) {
  if (layer_ != Layer::page) return;
  lists_[0]->ChannelsSetCurrent(std::clamp(level, 0, depth_count - 1));
}

void Painter::push_clip(const Rect& clip) {
  clips_.push_back(meet(clip, clips_.back()));
  const Rect& now = clips_.back();
  list().PushClipRect(top_left(now), bottom_right(now));
}

void Painter::pop_clip() {
  clips_.pop_back();
  list().PopClipRect();
}

void Painter::fill(const Rect& box, Color color, float round) {
  list().AddRectFilled(top_left(box), bottom_right(box), color, round);
}

void Painter::outline(const Rect& box, Color color, float round, float thick) {
  const Rect in = box.inset(thick / 2);
  list().AddRect(top_left(in), bottom_right(in), color, round, 0, thick);
}

void Painter::line(Point a, Point b, Color color, float thick) {
  list().AddLine(v(a), v(b), color, thick);
}

void Painter::dashed(Point a, Point b, Color color, float thick, float dash) {
  const float length = std::hypot(b.x - a.x, b.y - a.y);
  if (length <= 0) return;
  const float ux = (b.x - a.x) / length, uy = (b.y - a.y) / length;
  for (float at = 0; at < length; at += 2 * dash) {
    const float to = std::min(at + dash, length);
    line({a.x + ux * at, a.y + uy * at}, {a.x + ux * to, a.y + uy * to}, color, thick);
  }
}

void Painter::polyline(std::span<const Point> points, Color color, float thick, bool closed) {
  for (const Point& p : points) list().PathLineTo(v(p));
  list().PathStroke(color, closed ? ImDrawFlags_Closed : 0, thick);
}

void Painter::triangle(Point a, Point b, Point c, Color color) {
  list().AddTriangleFilled(v(a), v(b), v(c), color);
}

void Painter::polygon(std::span<const Point> points, Color color) {
  for (const Point& p : points) list().PathLineTo(v(p));
  list().PathFillConvex(color);
}

void Painter::disc(Point middle, float radius, Color color) {
  list().AddCircleFilled(v(middle), radius, color);
}

void Painter::ring(Point middle, float radius, Color color, float thick) {
  list().AddCircle(v(middle), radius, color, 0, thick);
}

void Painter::arc(Point middle, float radius, float from, float to, Color color, float thick) {
  list().PathArcTo(v(middle), radius, from, to);
  list().PathStroke(color, 0, thick);
}

float Painter::text_height(std::string_view text, Type type, float width) const {
  return fonts_.wrap(type, text, width).size.h;
}

// A quad of the second texture; its corners stand on device pixels, so that nothing is blurred.
void Painter::foreign_line(Point at, std::string_view text, const TextStyle& style) {
  const float ratio = fonts_.pixel_ratio(), line = fonts_.height(style.type);
  const ImFont& font = *fonts_.font(style.type);
  const float baseline = (line * ratio - font.FontSize) / 2 + font.Ascent;
  const unsigned rgb = (style.color & 0xFF) << 16 | (style.color & 0xFF00) |
                       (style.color >> 16 & 0xFF);
  AnyScript& scripts = fonts_.any_script();
  const auto place = scripts.place(fonts_.script_line(style.type, text), rgb,
                                   static_cast<int>(std::ceil(line * ratio)), baseline);
  if (!place) return;
  const float x = std::round(at.x * ratio) / ratio, y = std::round(at.y * ratio) / ratio;
  const float w = static_cast<float>(place->w), h = static_cast<float>(place->h);
  const float side = static_cast<float>(scripts.side());
  const float u = static_cast<float>(place->x) / side, v = static_cast<float>(place->y) / side;
  // Black, since the renderer adds the picture's own colour.
  list().AddImage(script_texture, {x, y}, {x + w / ratio, y + h / ratio}, {u, v},
                  {u + w / side, v + h / side}, style.color & 0xFF000000u);
}

void Painter::line_of_text(Point at, std::string_view text, const TextStyle& style) {
  if (fonts_.is_foreign(text)) return foreign_line(at, text, style);
  const float px = fonts_.pixels(style.type);
  list().AddText(fonts_.font(style.type), px,
                 {at.x, at.y + (fonts_.height(style.type) - px) / 2}, style.color, text.data(),
                 text.data() + text.size());
}

float Painter::text(const Rect& box, std::string_view text, const TextStyle& style) {
  if (text.empty()) return 0;
  const float line = fonts_.height(style.type);
  std::string shortened;
  std::string_view one = text;
  std::span<const std::string_view> runs(&one, 1);
  Size size;
  bool word_broken = false;
  if (style.wrap && !style.shorten) {
    const Lines& wrapped = fonts_.wrap(style.type, text, box.w);
    runs = wrapped.lines;
    size = wrapped.size;
    word_broken = wrapped.word_broken;
  } else {
    if (style.shorten) one = shortened = fonts_.shorten(style.type, text, box.w);
    size = fonts_.measure(style.type, one);
  }
  float y = box.y + (style.middle ? (box.h - size.h) / 2 : 0);
  // Tests look at texts in the page however far they are scrolled; the screen cuts them there.
  texts_.push_back({owner_, std::string(text), {box.x, y, size.w, size.h}, box,
                    word_broken});
  const Rect& seen = clips_.back();
  for (std::string_view run : runs) {
    if (y + line >= seen.y && y <= seen.bottom() && !run.empty()) {
      const float w = style.align == Align::left ? 0 : fonts_.measure(style.type, run).w;
      const float x = style.align == Align::left     ? box.x
                      : style.align == Align::center ? box.x + (box.w - w) / 2
                                                     : box.right() - w;
      line_of_text({x, y}, run, style);
    }
    y += line;
  }
  return size.h;
}

}  // namespace nthtree::widgets
