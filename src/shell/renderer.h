// SPDX-License-Identifier: Apache-2.0
//
// Puts Dear ImGui draw lists onto the canvas with OpenGL ES 2 (WebGL 1). One program, two buffers,
// two textures: letters and lines, one byte a pixel, and the picture of AnyScript.
//
// Not Dear ImGui's own back end: that one needs a Dear ImGui context, keeps four bytes a texture
// pixel, and cannot be built up again after the browser took the graphics context away.
//
//   renderer.restore();                       // at the start, and after a lost context
//   renderer.draw(painter.lists(), fonts, width, height, pixel_ratio, ground);
#pragma once

#include <cstdint>
#include <vector>

#include "widgets/fonts.h"

struct ImDrawList;

namespace nthtree::shell {

class Renderer {
 public:
  bool restore();  // makes every object anew; false where the driver refuses
  // Width and height in CSS pixels. ground: colour behind everything, 0xAABBGGRR.
  void draw(const std::vector<ImDrawList*>& lists, widgets::Fonts& fonts, float width,
            float height, float pixel_ratio, std::uint32_t ground);

 private:
  void load_letters(widgets::Fonts& fonts);
  void load_scripts(widgets::AnyScript& scripts);
  void draw_list(const ImDrawList& list, int device_height, float pixel_ratio);

  unsigned program_ = 0, textures_[2] = {}, vertices_ = 0, indices_ = 0;
  int at_position_ = 0, at_uv_ = 0, at_color_ = 0, at_scale_ = 0, at_texture_ = 0;
  std::uint32_t letters_version_ = 0, scripts_version_ = 0;
};

}  // namespace nthtree::shell
