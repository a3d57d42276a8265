// SPDX-License-Identifier: Apache-2.0
#include "unit/screens/pixels.h"

#include <imgui.h>
#include <zlib.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace nthtree::screens::stage {
namespace {

struct Letters {
  const unsigned char* alpha = nullptr;
  int width = 0, height = 0;

  float at(float u, float v) const {  // bilinear, as the graphics chip samples it
    const float x = u * static_cast<float>(width) - 0.5f, y = v * static_cast<float>(height) - 0.5f;
    const int x0 = static_cast<int>(std::floor(x)), y0 = static_cast<int>(std::floor(y));
    const float fx = x - static_cast<float>(x0), fy = y - static_cast<float>(y0);
    const auto texel = [&](int tx, int ty) {
      tx = std::clamp(tx, 0, width - 1);
      ty = std::clamp(ty, 0, height - 1);
      return static_cast<float>(alpha[ty * width + tx]);
    };
    const float top = texel(x0, y0) * (1 - fx) + texel(x0 + 1, y0) * fx;
    const float bottom = texel(x0, y0 + 1) * (1 - fx) + texel(x0 + 1, y0 + 1) * fx;
    return (top * (1 - fy) + bottom * fy) / 255;
  }
};

void blend(std::uint32_t& to, const float color[4], float coverage) {
  const float alpha = color[3] / 255 * coverage;
  if (alpha <= 0) return;
  std::uint32_t out = 0xFF000000u;
  for (int channel = 0; channel < 3; ++channel) {
    const float below = static_cast<float>(to >> (8 * channel) & 0xFF);
    const float mixed = color[channel] * alpha + below * (1 - alpha);
    out |= static_cast<std::uint32_t>(mixed + 0.5f) << (8 * channel);
  }
  to = out;
}

struct Point {
  float x, y, u, v;
  float color[4];
};

Point point_of(const ImDrawVert& vertex, float ratio) {
  Point p{vertex.pos.x * ratio, vertex.pos.y * ratio, vertex.uv.x, vertex.uv.y, {}};
  for (int i = 0; i < 4; ++i) p.color[i] = static_cast<float>(vertex.col >> (8 * i) & 0xFF);
  return p;
}

float edge(const Point& a, const Point& b, float x, float y) {
  return (b.x - a.x) * (y - a.y) - (b.y - a.y) * (x - a.x);
}

// A pixel on a shared edge belongs to one triangle only: the one whose edge is at its top or left.
bool inside(float value, const Point& a, const Point& b) {
  if (value != 0) return value > 0;
  return (a.y == b.y && b.x > a.x) || b.y < a.y;
}

void triangle(Picture& picture, const Letters& letters, const ImVec4& clip, Point a, Point b,
              Point c) {
  float area = edge(a, b, c.x, c.y);
  if (area == 0) return;
  if (area < 0) {
    std::swap(b, c);
    area = -area;
  }
  const auto low = [](float x, float y, float z) { return std::floor(std::min({x, y, z})); };
  const auto high = [](float x, float y, float z) { return std::ceil(std::max({x, y, z})); };
  const int x0 = static_cast<int>(std::max({low(a.x, b.x, c.x), std::floor(clip.x), 0.0f}));
  const int y0 = static_cast<int>(std::max({low(a.y, b.y, c.y), std::floor(clip.y), 0.0f}));
  const int x1 = static_cast<int>(std::min({high(a.x, b.x, c.x), std::ceil(clip.z),
                                            static_cast<float>(picture.width)}));
  const int y1 = static_cast<int>(std::min({high(a.y, b.y, c.y), std::ceil(clip.w),
                                            static_cast<float>(picture.height)}));
  for (int y = y0; y < y1; ++y) {
    for (int x = x0; x < x1; ++x) {
      const float px = static_cast<float>(x) + 0.5f, py = static_cast<float>(y) + 0.5f;
      const float wa = edge(b, c, px, py), wb = edge(c, a, px, py), wc = edge(a, b, px, py);
      if (!inside(wa, b, c) || !inside(wb, c, a) || !inside(wc, a, b)) continue;
      const float sa = wa / area, sb = wb / area, sc = wc / area;
      float color[4];
      for (int i = 0; i < 4; ++i) color[i] = a.color[i] * sa + b.color[i] * sb + c.color[i] * sc;
      const float coverage =
          letters.at(a.u * sa + b.u * sb + c.u * sc, a.v * sa + b.v * sb + c.v * sc);
      blend(picture.pixels[static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width) +
                           static_cast<std::size_t>(x)],
            color, coverage);
    }
  }
}

void put_32(std::string& to, std::uint32_t value) {
  for (int shift = 24; shift >= 0; shift -= 8) to.push_back(static_cast<char>(value >> shift & 0xFF));
}

void put_chunk(std::string& to, const std::string& kind, const std::string& data) {
  put_32(to, static_cast<std::uint32_t>(data.size()));
  const std::string body = kind + data;
  to += body;
  put_32(to, static_cast<std::uint32_t>(crc32(0, reinterpret_cast<const Bytef*>(body.data()),
                                              static_cast<uInt>(body.size()))));
}

}  // namespace

Picture paint(widgets::Ui& ui, int width, int height, int pixel_ratio, std::uint32_t ground) {
  Picture picture{width * pixel_ratio, height * pixel_ratio, {}};
  picture.pixels.assign(static_cast<std::size_t>(picture.width) *
                            static_cast<std::size_t>(picture.height),
                        ground | 0xFF000000u);
  unsigned char* alpha = nullptr;
  Letters letters;
  ui.fonts().atlas()->GetTexDataAsAlpha8(&alpha, &letters.width, &letters.height);
  letters.alpha = alpha;
  const float ratio = static_cast<float>(pixel_ratio);
  for (const ImDrawList* list : ui.painter().lists()) {
    for (const ImDrawCmd& command : list->CmdBuffer) {
      const ImVec4 clip{command.ClipRect.x * ratio, command.ClipRect.y * ratio,
                        command.ClipRect.z * ratio, command.ClipRect.w * ratio};
      for (unsigned i = 0; i + 2 < command.ElemCount; i += 3) {
        Point corners[3];
        for (unsigned k = 0; k < 3; ++k) {
          const auto index = list->IdxBuffer[static_cast<int>(command.IdxOffset + i + k)];
          corners[k] = point_of(list->VtxBuffer[static_cast<int>(command.VtxOffset + index)], ratio);
        }
        triangle(picture, letters, clip, corners[0], corners[1], corners[2]);
      }
    }
  }
  return picture;
}

void place(Picture& to, const Picture& from, int x, int y) {
  for (int row = 0; row < from.height && y + row < to.height; ++row) {
    for (int column = 0; column < from.width && x + column < to.width; ++column) {
      to.pixels[static_cast<std::size_t>(y + row) * static_cast<std::size_t>(to.width) +
                static_cast<std::size_t>(x + column)] =
          from.pixels[static_cast<std::size_t>(row) * static_cast<std::size_t>(from.width) +
                      static_cast<std::size_t>(column)];
    }
  }
}

// PNG (W3C Recommendation, 2nd edition, 2003): 8-bit truecolour, no filter.
bool write_png(const std::string& path, const Picture& picture) {
  std::string raw;
  for (int y = 0; y < picture.height; ++y) {
    raw.push_back(0);
    for (int x = 0; x < picture.width; ++x) {
      const std::uint32_t pixel =
          picture.pixels[static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width) +
                         static_cast<std::size_t>(x)];
      for (int shift = 0; shift < 24; shift += 8) raw.push_back(static_cast<char>(pixel >> shift & 0xFF));
    }
  }
  uLongf size = compressBound(static_cast<uLong>(raw.size()));
  std::string packed(size, '\0');
  if (compress2(reinterpret_cast<Bytef*>(packed.data()), &size,
                reinterpret_cast<const Bytef*>(raw.data()), static_cast<uLong>(raw.size()),
                6) != Z_OK) {
    return false;
  }
  packed.resize(size);
  std::string file = "\x89PNG\r\n\x1a\n", head;
  put_32(head, static_cast<std::uint32_t>(picture.width));
  put_32(head, static_cast<std::uint32_t>(picture.height));
  head += std::string("\x08\x02\x00\x00\x00", 5);
  put_chunk(file, "IHDR", head);
  put_chunk(file, "IDAT", packed);
  put_chunk(file, "IEND", "");
  std::FILE* out = std::fopen(path.c_str(), "wb");
  if (!out) return false;
  const bool ok = std::fwrite(file.data(), 1, file.size(), out) == file.size();
  return std::fclose(out) == 0 && ok;
}

}  // namespace nthtree::screens::stage
