// SPDX-License-Identifier: Apache-2.0
//
// Paints the triangles of a laid-out screen into memory and writes PNG files, so that people can
// look at every screen without a browser. Slow and exact enough to judge a layout by; what the
// phone really shows is made by its graphics chip.
//
//   Picture picture = paint(frame.ui(), 360, 740, 2, ground);
//   write_png("home.png", picture);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "widgets/ui.h"

namespace nthtree::screens::stage {

struct Picture {
  int width = 0, height = 0;
  std::vector<std::uint32_t> pixels;  // 0xAABBGGRR
};

Picture paint(widgets::Ui& ui, int width, int height, int pixel_ratio, std::uint32_t ground);
// Copies `from` into `to` with its top left corner at x, y; what reaches over is left out.
void place(Picture& to, const Picture& from, int x, int y);
bool write_png(const std::string& path, const Picture& picture);

}  // namespace nthtree::screens::stage
