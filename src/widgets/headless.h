// SPDX-License-Identifier: Apache-2.0
//
// Lays a screen out without a window, so that tests can ask: is every text inside its box, is
// every target large enough, does the control with that name exist, what happens when it is tapped?
//
//   HeadlessFrame frame(fonts, {.width = 360, .height = 740, .look = {.text_scale = 1.6f}});
//   frame.draw([&](Ui& ui) { draw_home(ui); });
//   CHECK(frame.clipped_texts().empty());
//   frame.tap("save"); frame.draw(…);
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "widgets/ui.h"

namespace nthtree::widgets {

struct HeadlessSetting {
  float width = 360, height = 740;
  Look look;
  float safe_top = 0, safe_bottom = 0;
  float pixel_ratio = 1;
};

// Fonts read from the two files; the test programs get their paths from CMake.
bool read_fonts(const std::string& regular_path, const std::string& bold_path, std::string& regular,
                std::string& bold);

class HeadlessFrame {
 public:
  HeadlessFrame(Fonts& fonts, const HeadlessSetting& setting);

  // Draws until every pending tap is consumed and twice more, so that rows have their heights.
  void draw(const std::function<void(Ui&)>& screen);
  Ui& ui() { return ui_; }
  const std::vector<Control>& controls() const { return ui_.controls(); }
  const Control* find(std::string_view id) const;
  const Control* find(Role role, std::string_view label) const;
  // A finger down and up in the middle of the control; false where it is not there or not in view.
  // A new screen is looked at first, as people do: tap_at is for those who do not.
  bool tap(std::string_view id);
  // A finger down and up at that place, so long after what happened last. False where none counted.
  bool tap_at(float x, float y, std::int64_t after_ms);
  bool type(std::string_view id, std::string text);

  // Sentences, one a fault; empty where all is well.
  std::vector<std::string> clipped_texts() const;  // a text is larger than its box, or a word cut
  std::vector<std::string> small_targets() const;  // below 46 px (12 mm) in either direction
  std::vector<std::string> overlaps() const;       // two targets share more than a pixel
  std::vector<std::string> outside() const;        // reaches over the side of the window

 private:
  Ui ui_;
  HeadlessSetting setting_;
  std::int64_t now_ms_ = 1000;
};

}  // namespace nthtree::widgets
