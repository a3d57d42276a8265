// SPDX-License-Identifier: Apache-2.0
//
// Type: which letter shapes are in the texture, how wide a text is, and where it breaks.
//
// Dear ImGui 1.86 rasterises fixed ranges at fixed sizes, so the atlas is made for one pixel ratio
// and one text scale and again when they change. It starts with ASCII and the letters of the
// languages; a name with another letter is noticed while measuring and the atlas is made anew with
// it (wants_rebuild). Big figures hold digits and signs only, which keeps the texture small. A line
// with letters that the typefaces lack is written by AnyScript, where there is a writer.
//
//   Fonts fonts(regular_bytes, bold_bytes);
//   fonts.build(2.0f, 1.0f, letters);
//   const Lines& lines = fonts.wrap(Type::body, text, 200);
#pragma once

#include <cstdint>
#include <memory>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "widgets/any_script.h"

struct ImFont;
struct ImFontAtlas;

namespace nthtree::widgets {

// giant holds digits alone: the number on the count pad.
enum class Type { small, body, strong, title, figure, huge, giant };
constexpr int type_count = 7;

struct Size {
  float w = 0, h = 0;
};

struct Lines {
  std::vector<std::string_view> lines;  // views into the text given
  Size size;
  bool word_broken = false;  // a word did not fit the width and was cut
};

class Fonts {
 public:
  // The bytes of two TrueType files, kept for rebuilding.
  Fonts(std::string regular, std::string bold);
  ~Fonts();
  Fonts(const Fonts&) = delete;
  Fonts& operator=(const Fonts&) = delete;

  // Makes the atlas: device pixels a CSS pixel, text scale 1 … 1.6, letters in UTF-8 to hold
  // beyond ASCII. False where the bytes are not a font.
  bool build(float pixel_ratio, float text_scale, std::string_view letters);
  // Typefaces with more letters in place of those given, which may be the letters of the languages
  // alone: a name with others was the writer's (AnyScript) until now.
  void take(std::string regular, std::string bold);
  bool wants_rebuild() const { return wants_rebuild_; }
  bool rebuild();  // same settings, with the letters met since

  float height(Type type) const;       // line height, CSS px
  float pixels(Type type) const;       // letter size, CSS px
  Size measure(Type type, std::string_view text) const;  // one line
  // Good until the next call: a frame breaks a hundred texts, and none of them asks the heap.
  const Lines& wrap(Type type, std::string_view text, float width) const;
  // The text, or as much of it as fits with an ellipsis behind.
  std::string shorten(Type type, std::string_view text, float width) const;

  AnyScript& any_script() { return any_script_; }
  // Is the line one for AnyScript?
  bool is_foreign(std::string_view text) const;
  ScriptLine script_line(Type type, std::string_view text) const;

  float pixel_ratio() const { return pixel_ratio_; }
  ImFont* font(Type type) const;
  ImFontAtlas* atlas() const { return atlas_.get(); }
  std::uint32_t version() const { return version_; }  // grows with each atlas

 private:
  void notice(std::string_view text) const;

  AnyScript any_script_;
  std::string regular_, bold_;
  std::unique_ptr<ImFontAtlas> atlas_;
  ImFont* fonts_[type_count] = {};
  float pixels_[type_count] = {};
  float pixel_ratio_ = 1, text_scale_ = 1;
  std::string letters_;
  mutable std::set<unsigned> wanted_;  // letters met that the atlas lacks
  std::set<unsigned> held_, refused_;
  mutable bool wants_rebuild_ = false;
  mutable Lines wrapped_;
  std::uint32_t version_ = 0;
};

}  // namespace nthtree::widgets
