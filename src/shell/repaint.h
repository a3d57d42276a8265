// SPDX-License-Identifier: Apache-2.0
//
// Decides whether a frame is due, and nothing else does. An idle screen draws none.
//
// A change asks for two frames: the second settles what the first could only know at its end
// (heights of rows, length of the page). A frame that says "I am still moving" asks for one more.
// Frames are not drawn while the page is hidden or the graphics context is lost; what was asked for
// then is drawn when it comes back. Layout without drawing still runs, so taps are never held up.
//
//   repaint.wake();                      if (repaint.should_schedule()) request_animation_frame();
//   in the frame: repaint.begin(); … repaint.end(ui.animating());
#pragma once

#include <algorithm>
#include <cstdint>

namespace nthtree::shell {

class Repaint {
 public:
  void wake(int frames = 2) { due_ = std::max(due_, frames); }
  // True once for each animation frame that must be asked for.
  bool should_schedule() {
    if (scheduled_ || due_ == 0 || hidden_) return false;
    scheduled_ = true;
    return true;
  }
  bool scheduled() const { return scheduled_; }
  void begin() { scheduled_ = false; }
  void end(bool animating) {
    if (due_ > 0) --due_;
    if (animating) due_ = std::max(due_, 1);
    if (!context_lost_) ++drawn_;
  }
  bool may_draw() const { return !context_lost_ && !hidden_; }
  void set_hidden(bool hidden) {
    hidden_ = hidden;
    if (!hidden) wake();
  }
  void set_context_lost(bool lost) {
    context_lost_ = lost;
    if (!lost) wake();
  }
  std::int64_t drawn() const { return drawn_; }  // frames since the start

 private:
  int due_ = 2;
  bool scheduled_ = false, hidden_ = false, context_lost_ = false;
  std::int64_t drawn_ = 0;
};

}  // namespace nthtree::shell
