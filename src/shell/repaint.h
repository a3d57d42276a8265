// SPDX-License-Identifier: Apache-2.0
//
// Decides whether a frame is due, and nothing else does. An idle screen draws none.
//
// A change asks for one frame. A frame that says "I am still moving" asks for one more: something
// glides, or the frame learned only at its end how high its rows are or how long its page is.
// Frames are not drawn while the page is hidden or the graphics context is lost; what was asked for
// then is drawn when it comes back. Layout without drawing still runs, so taps are never held up.
//
//   repaint.wake();                      if (repaint.should_schedule()) request_animation_frame();
//   in the frame: repaint.begin(); … repaint.end(ui.animating());
#pragma once

#include <cstdint>

namespace nthtree::shell {

class Repaint {
 public:
  void wake() { due_ = true; }
  // True once for each animation frame that must be asked for.
  bool should_schedule() {
    if (scheduled_ || !due_ || hidden_) return false;
    scheduled_ = true;
    return true;
  }
  bool scheduled() const { return scheduled_; }
  void begin() { scheduled_ = due_ = false; }
  void end(bool animating) {
    if (animating) due_ = true;
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
  bool due_ = true, scheduled_ = false, hidden_ = false, context_lost_ = false;
  std::int64_t drawn_ = 0;
};

}  // namespace nthtree::shell
