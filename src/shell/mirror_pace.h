// SPDX-License-Identifier: Apache-2.0
//
// Decides when the page's elements are brought in step with what the canvas shows, and nothing else
// does. Behind the frame, so that what a finger did is on the screen before an element is touched;
// ten times a second at most: a screen reader gains nothing from more. And once for a tap: while a
// finger presses or drags, or the page moves by itself, the next frame shows something else
// again. A screen reader and the keyboard put no finger on the canvas, so they never wait for one;
// a finger that stays puts the elements off by a second and no longer.
//
// Times in milliseconds of elapsed time.
//
//   pace.laid_out(now, pressed, scrolled);     after each frame
//   if (pace.due(now)) { … pace.written(now); } else wake in pace.wait_ms(now)
#pragma once

#include <algorithm>
#include <cstdint>

namespace nthtree::shell {

class MirrorPace {
 public:
  static constexpr std::int64_t after_ms = 20;   // behind the frame
  static constexpr std::int64_t every_ms = 100;  // from a writing, or a move of the page, to a next
  static constexpr std::int64_t hold_most_ms = 1000;

  void laid_out(std::int64_t now, bool pressed, bool scrolled) {
    if (!waits_) first_ms_ = now;
    waits_ = true;
    const std::int64_t latest_ms = std::max(now, first_ms_ + hold_most_ms);
    due_ms_ = pressed ? latest_ms : scrolled ? std::min(now + every_ms, latest_ms) : now + after_ms;
    due_ms_ = std::max(due_ms_, written_ms_ + every_ms);
  }
  void written(std::int64_t now) { written_ms_ = now; }
  // Looked at once it is due; whether anything is to be written is seen then.
  void looked() { waits_ = false; }
  bool waits() const { return waits_; }
  bool due(std::int64_t now) const { return waits_ && now >= due_ms_; }
  std::int64_t wait_ms(std::int64_t now) const { return std::max<std::int64_t>(1, due_ms_ - now); }

 private:
  bool waits_ = false;
  std::int64_t first_ms_ = 0;          // of the frames not yet looked at
  std::int64_t due_ms_ = 0;
  std::int64_t written_ms_ = -every_ms;
};

}  // namespace nthtree::shell
