// SPDX-License-Identifier: Apache-2.0
//
// Puts Dear ImGui draw lists onto the canvas with OpenGL ES 2 (WebGL 1). One program, two buffers,
// two textures: letters and lines, one byte a pixel, and the picture of AnyScript. All lists go to
// the driver as one, and what never changes is said once: each call is one through the browser. A
// frame that is what stands on the canvas already is not drawn.
//
// Not Dear ImGui's own back end: that one needs a Dear ImGui context, keeps four bytes a texture
// pixel, and cannot be built up again after the browser took the graphics context away.
//
//   renderer.restore();                       // at the start, and after a lost context
//   renderer.draw(painter.lists(), fonts, width, height, pixel_ratio, ground);
#pragma once

#include <imgui.h>

#include <cstdint>
#include <vector>

#include "widgets/fonts.h"

namespace nthtree::shell {

class Renderer {
 public:
  void restore();  // has every object made anew, and waits for nothing
  bool works() const;  // whether the driver took the program; waits for it
  // Width and height in CSS pixels. ground: colour behind everything, 0xAABBGGRR.
  void draw(const std::vector<ImDrawList*>& lists, widgets::Fonts& fonts, float width,
            float height, float pixel_ratio, std::uint32_t ground);
  void forget() { drawn_ = {}; }  // the canvas may be empty: the next frame is drawn in any case

 private:
  // A run of triangles: of which texture, within which box, from where in the buffers.
  struct Piece {
    unsigned texture = 0;
    int x = 0, y = 0, width = 0, height = 0;
    std::size_t first_index = 0, indices = 0, first_vertex = 0;
    bool operator==(const Piece&) const = default;
  };
  // All that a frame is made of.
  struct Frame {
    std::vector<ImDrawVert> vertices;
    std::vector<ImDrawIdx> indices;
    std::vector<Piece> pieces;
    int width = 0, height = 0;  // of the canvas, in its own pixels
    float scale_x = 0, scale_y = 0;
    std::uint32_t ground = 0, letters = 0, scripts = 0;  // versions of the textures
    bool operator==(const Frame& other) const;
  };

  void make_program();
  void use_program();
  void load_letters(widgets::Fonts& fonts);
  void load_scripts(widgets::AnyScript& scripts);
  static void gather(const ImDrawList& list, float pixel_ratio, Frame& frame);
  void point_at(std::size_t first_vertex);
  void put(const Frame& frame);

  unsigned program_ = 0, textures_[2] = {};
  bool in_use_ = false;  // the program
  std::uint32_t letters_version_ = 0, scripts_version_ = 0;
  std::size_t first_vertex_ = 0;  // where the attributes point
  Frame drawn_, next_;            // on the canvas; being made: the room of both serves again
};

}  // namespace nthtree::shell
