// SPDX-License-Identifier: Apache-2.0
//
// Text that the bundled typefaces lack: a name in Arabic, Hebrew, Chinese, Greek or Punjabi, an
// emoji. Somebody who can write every script, the browser, draws such a line as a whole, with its
// joined letters and its direction; the lines are kept side by side in one picture, which the
// renderer loads as a second texture.
//
// Not a shaper and no typeface: without such a writer (natively, in tests) nothing changes, and the
// letters stay what Dear ImGui draws for what it does not know.
//
// Invariants: a line is drawn once, until the picture is full; then it is begun anew, larger, with
// the next frame. Units: device pixels, colours 0xRRGGBB.
//
//   scripts.begin_frame();
//   const ScriptPlace* place = scripts.place({.text = "Δημήτρης", .px = 31}, ink, 42, 32);
//   if (scripts.version() != loaded) … writer.load()
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>

namespace nthtree::widgets {

struct ScriptLine {
  std::string_view text;
  float px = 0;  // size of the letters
  bool bold = false;
};

struct ScriptPlace {
  int x = 0, y = 0, w = 0, h = 0;  // in the picture
};

// Who writes them; web/letters.js by way of the platform.
class ScriptWriter {
 public:
  virtual ~ScriptWriter() = default;
  virtual float script_width(const ScriptLine& line) = 0;
  virtual void begin_script_picture(int side) = 0;  // empty, transparent, square
  // Into the box and not beyond; baseline: from the top of the box.
  virtual void write_script(const ScriptLine& line, unsigned color, const ScriptPlace& box,
                            float baseline) = 0;
  virtual void load_script_picture() = 0;  // into the texture that is bound
};

class AnyScript {
 public:
  void set_writer(ScriptWriter* writer) { writer_ = writer; }
  ScriptWriter* writer() const { return writer_; }

  void begin_frame();
  bool is_full() const { return full_; }  // something was not drawn: another frame, please
  float width(const ScriptLine& line) const;
  // Where the line stands, drawn now where it was not yet; nothing where there was no room.
  std::optional<ScriptPlace> place(const ScriptLine& line, unsigned color, int height,
                                   float baseline);
  int side() const { return side_; }
  std::uint32_t version() const { return version_; }  // grows with each line drawn

 private:
  std::optional<ScriptPlace> free_place(int width, int height);

  ScriptWriter* writer_ = nullptr;
  mutable std::map<std::string, float, std::less<>> widths_;
  std::map<std::string, ScriptPlace, std::less<>> places_;
  int side_ = 0;
  int x_ = 0, y_ = 0, shelf_ = 0;  // lines stand on shelves, as tall as their tallest
  bool full_ = false;      // at first it has no side, so the first line finds no room
  std::uint32_t version_ = 0;
};

// Does it hold letters that are written from right to left?
bool is_right_to_left(std::string_view text);
// A name, so that its direction does not turn what stands around it: between U+2068 and U+2069
// (Unicode Standard Annex 9, isolates) where it is written from right to left.
std::string isolated(std::string text);

}  // namespace nthtree::widgets
