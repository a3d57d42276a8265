// SPDX-License-Identifier: Apache-2.0
//
// Every widget in every state, for people who change one and for the browser tests. Not a screen
// of the app: it is reached by the address #gallery only.
//
//   Gallery gallery;
//   gallery.draw(ui);
#pragma once

#include <string>
#include <vector>

#include "widgets/widgets.h"

namespace nthtree::screens {

class Gallery {
 public:
  // Returns true where the look changed, so that the shell takes it over.
  bool draw(widgets::Ui& ui);
  const widgets::Look& look() const { return look_; }
  int count() const { return count_; }

 private:
  void draw_count(widgets::Ui& ui);
  void draw_controls(widgets::Ui& ui);
  void draw_reading(widgets::Ui& ui);
  void draw_charts(widgets::Ui& ui);
  void draw_list(widgets::Ui& ui);

  enum class Page { contents, count, controls, reading, charts, list };
  Page page_ = Page::contents;
  widgets::Look look_;
  int count_ = 0;
  std::string typed_, name_, day_ = "2026-02-14";
  int tolerance_ = 5, chosen_ = 0, radio_ = 0, verdict_ = 0;
  bool switched_ = true, ask_ = false, toast_ = false;
};

}  // namespace nthtree::screens
