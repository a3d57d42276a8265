// SPDX-License-Identifier: Apache-2.0
//
// Taps, counted as the fingers come, not as frames are drawn: sixty taps in one stalled second are
// sixty. The shell calls it from SDL's event watch, which runs inside the browser's own event.
//
// Each finger is followed by itself. A finger that moves more than drag_threshold_px is a drag and
// its tap is off, except on targets that count on touch (the count pad). Dragging scrolls; the
// speed at the end is the speed the page glides on with. A finger that lands on a gliding page
// stops it and is no tap.
//
// Taps come out in runs: as many as came on one control before the next control was touched.
// Nothing is merged and the order is kept.
//
// A screen that has just appeared takes no tap for new_screen_ms: a finger that taps twice, or is
// already on its way down, was meant for what stood there before. Only a target that says so (the
// count pad) takes it at once. Each run says on which screen it was made, so that the second tap of
// two is not taken by a control of the same id on the screen that the first one opened.
//
//   counter.down(finger, x, y, now);  counter.up(finger, x, y, now);
//   while (auto run = counter.take_run()) { … run->id, run->count … }
#pragma once

#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "widgets/control.h"

namespace nthtree::widgets {

constexpr float drag_threshold_px = 8;
constexpr std::int64_t repeat_first_ms = 500;  // a stepper held down begins to repeat
constexpr std::int64_t repeat_next_ms = 120;
// Two taps of one intent lie up to about a third of a second apart, in gloves a little more.
constexpr std::int64_t new_screen_ms = 400;

struct TapRun {
  std::string id;
  int count = 0;
  std::optional<std::string> text;  // typed into a field, in place of taps
  std::string screen;               // on which it was made
};

class TapCounter {
 public:
  // Called at once, inside the browser's event: buzz, or give an input field the focus.
  std::function<void(const TouchTarget&)> on_tap;

  // In drawing order: the last lies on top. `screen` names what they belong to; another name than
  // before is a screen that appears now. Returns the targets of before: their room serves again.
  std::vector<TouchTarget> set_targets(std::vector<TouchTarget> targets,
                                       std::string_view screen = {}, std::int64_t now_ms = 0);
  // True while a finger presses nothing because the screen has just appeared.
  bool is_new_screen(std::int64_t now_ms) const { return now_ms < open_at_ms_; }
  const std::vector<TouchTarget>& targets() const { return targets_; }
  void set_scroll_area(const Rect& area) { scroll_area_ = area; }
  void set_gliding(bool gliding) { gliding_ = gliding; }

  void down(std::int64_t finger, float x, float y, std::int64_t now_ms);
  void move(std::int64_t finger, float x, float y, std::int64_t now_ms);
  void up(std::int64_t finger, float x, float y, std::int64_t now_ms);
  void cancel(std::int64_t finger);
  void cancel_all();
  // A tap that came by keyboard, screen reader or test. Unknown ids are refused: false.
  bool activate(std::string_view id);
  void type(std::string_view id, std::string text);  // new text of a field
  // Repeats a held stepper; returns when to be called next, or -1.
  std::int64_t tick(std::int64_t now_ms);

  bool has_pending() const { return !queue_.empty(); }
  std::optional<TapRun> take_run();
  std::string_view pressed_id() const;  // under a finger now, "" where none
  bool counts_at(float x, float y) const;  // a place where each finger that lands is one
  bool dragging() const;
  float take_scroll();          // dragged since the last call, px; positive: content moves up
  std::optional<float> take_fling();  // px per ms when the finger left, once
  std::int64_t counted() const { return counted_; }  // taps since the start

 private:
  struct Finger {
    std::string id;  // target it landed on
    bool on_touch = false, repeats = false;
    float x0 = 0, y0 = 0, x = 0, y = 0;
    bool drag = false, off = false;
    float speed = 0;
    std::int64_t last_ms = 0, repeat_at = 0;
  };
  const TouchTarget* hit(float x, float y) const;
  const TouchTarget* find(std::string_view id) const;
  void push(const TouchTarget& target);

  std::vector<TouchTarget> targets_;
  std::string screen_;
  std::int64_t open_at_ms_ = 0;  // when the screen begins to take taps
  Rect scroll_area_;
  bool gliding_ = false;
  std::map<std::int64_t, Finger> fingers_;
  std::deque<TapRun> queue_;
  float scroll_ = 0;
  std::optional<float> fling_;
  std::int64_t counted_ = 0;
};

}  // namespace nthtree::widgets
