// SPDX-License-Identifier: Apache-2.0
#include "widgets/any_script.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"

namespace nthtree::widgets {
namespace {

constexpr int side_first = 512, side_max = 2048;  // 1 … 16 MB
constexpr std::size_t widths_max = 4000;          // of lines being typed, too
constexpr int air = 1;

std::string key_of(const ScriptLine& line, unsigned color) {
  return base::print("%.1f %d %x ", static_cast<double>(line.px), line.bold ? 1 : 0, color) +
         std::string(line.text);
}

}  // namespace

void AnyScript::begin_frame() {
  if (!full_) return;
  full_ = false;
  side_ = std::clamp(2 * side_, side_first, side_max);
  places_.clear();
  x_ = y_ = shelf_ = 0;
  writer_->begin_script_picture(side_);
}

float AnyScript::width(const ScriptLine& line) const {
  const std::string key = key_of(line, 0);
  const auto known = widths_.find(key);
  if (known != widths_.end()) return known->second;
  if (widths_.size() > widths_max) widths_.clear();
  return widths_[key] = writer_->script_width(line);
}

std::optional<ScriptPlace> AnyScript::free_place(int width, int height) {
  if (x_ + width > side_) {
    x_ = 0;
    y_ += shelf_;
    shelf_ = 0;
  }
  full_ = x_ + width > side_ || y_ + height > side_;
  if (full_) return std::nullopt;
  const ScriptPlace place{x_, y_, width, height};
  x_ += width;
  shelf_ = std::max(shelf_, height);
  return place;
}

std::optional<ScriptPlace> AnyScript::place(const ScriptLine& line, unsigned color, int height,
                                            float baseline) {
  const std::string key = key_of(line, color);
  const auto known = places_.find(key);
  if (known != places_.end()) return known->second;
  if (full_) return std::nullopt;
  const int width = static_cast<int>(std::ceil(this->width(line))) + 2 * air;
  const auto box = free_place(std::min(width, side_max), height);
  if (!box) return std::nullopt;
  writer_->write_script(line, color, *box, baseline);
  ++version_;
  places_[key] = *box;
  return box;
}

bool is_right_to_left(std::string_view text) {
  // In UTF-8 Hebrew, Arabic, Syriac, Thaana and N'Ko begin with these bytes, which follow none.
  return std::any_of(text.begin(), text.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte >= 0xD6 && byte <= 0xDF;
  });
}

std::string isolated(std::string text) {
  constexpr std::string_view first = "\u2068", last = "\u2069";
  if (!is_right_to_left(text) || text.compare(0, first.size(), first) == 0) return text;
  return std::string(first) + text + std::string(last);
}

}  // namespace nthtree::widgets
