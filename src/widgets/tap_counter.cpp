// SPDX-License-Identifier: Apache-2.0
#include "widgets/tap_counter.h"

#include <algorithm>
#include <cmath>

namespace nthtree::widgets {
namespace {

// A thumb in a glove rolls: lifting a little outside of what was pressed still counts.
constexpr float slop_px = 10;
constexpr float fling_speed_max = 4;         // px per ms
constexpr std::int64_t fling_still_ms = 60;  // held still this long: no glide

}  // namespace

const TouchTarget* TapCounter::hit(float x, float y) const {
  for (auto it = targets_.rbegin(); it != targets_.rend(); ++it) {
    if (it->rect.holds(x, y)) return &*it;
  }
  return nullptr;
}

const TouchTarget* TapCounter::find(std::string_view id) const {
  for (const TouchTarget& target : targets_) {
    if (target.id == id) return &target;
  }
  return nullptr;
}

void TapCounter::push(const TouchTarget& target) {
  ++counted_;
  if (!queue_.empty() && queue_.back().id == target.id && !queue_.back().text &&
      queue_.back().screen == screen_) {
    ++queue_.back().count;
  } else {
    queue_.push_back({target.id, 1, std::nullopt, screen_});
  }
  if (on_tap) on_tap(target);
}

std::vector<TouchTarget> TapCounter::set_targets(std::vector<TouchTarget> targets,
                                                 std::string_view screen, std::int64_t now_ms) {
  targets_.swap(targets);
  if (screen != screen_) {
    screen_ = screen;
    open_at_ms_ = now_ms + new_screen_ms;
  }
  return targets;
}

void TapCounter::down(std::int64_t id, float x, float y, std::int64_t now_ms) {
  Finger finger;
  finger.x0 = finger.x = x;
  finger.y0 = finger.y = y;
  finger.last_ms = now_ms;
  fling_.reset();
  if (gliding_ && scroll_area_.holds(x, y)) {
    finger.off = true;  // the finger stops the page and presses nothing
    gliding_ = false;
    fling_ = 0.0f;
  } else if (const TouchTarget* target = hit(x, y); target && is_new_screen(now_ms) &&
                                               !target->at_once) {
    finger.off = true;
  } else if (target) {
    finger.id = target->id;
    finger.on_touch = target->on_touch;
    finger.repeats = target->repeats;
    finger.repeat_at = now_ms + repeat_first_ms;
    if (finger.on_touch) push(*target);
  }
  fingers_[id] = finger;
}

void TapCounter::move(std::int64_t id, float x, float y, std::int64_t now_ms) {
  const auto it = fingers_.find(id);
  if (it == fingers_.end()) return;
  Finger& finger = it->second;
  const float moved_y = finger.y - y;
  if (!finger.drag && !finger.on_touch) {
    const float dx = x - finger.x0, dy = y - finger.y0;
    if (dx * dx + dy * dy > drag_threshold_px * drag_threshold_px) {
      finger.off = true;
      finger.drag = scroll_area_.holds(finger.x0, finger.y0) && fingers_.size() == 1;
      if (finger.drag) scroll_ += finger.y0 - finger.y;
    }
  }
  if (finger.drag) {
    scroll_ += moved_y;
    const float elapsed = static_cast<float>(std::max<std::int64_t>(1, now_ms - finger.last_ms));
    // The last moves weigh most; one late event must not set the speed alone.
    finger.speed = 0.6f * (moved_y / elapsed) + 0.4f * finger.speed;
  }
  finger.x = x;
  finger.y = y;
  finger.last_ms = now_ms;
}

void TapCounter::up(std::int64_t id, float x, float y, std::int64_t now_ms) {
  const auto it = fingers_.find(id);
  if (it == fingers_.end()) return;
  const std::int64_t still_ms = now_ms - it->second.last_ms;
  // The lift often repeats the last place; counting it as a move would halve the speed.
  if (x != it->second.x || y != it->second.y) move(id, x, y, now_ms);
  const Finger finger = it->second;
  fingers_.erase(it);
  if (finger.drag) {
    if (still_ms < fling_still_ms) {
      fling_ = std::clamp(finger.speed, -fling_speed_max, fling_speed_max);
    }
    return;
  }
  if (finger.off || finger.on_touch || finger.id.empty()) return;
  const TouchTarget* target = find(finger.id);
  if (!target || !target->rect.inset(-slop_px).holds(x, y)) return;
  push(*target);
}

void TapCounter::cancel(std::int64_t id) { fingers_.erase(id); }
void TapCounter::cancel_all() { fingers_.clear(); }

bool TapCounter::activate(std::string_view id) {
  const TouchTarget* target = find(id);
  if (!target) return false;
  push(*target);
  return true;
}

void TapCounter::type(std::string_view id, std::string text) {
  // Only the newest text of a field matters, so a run of typing may be one.
  if (!queue_.empty() && queue_.back().id == id && queue_.back().text) {
    queue_.back().text = std::move(text);
    return;
  }
  queue_.push_back({std::string(id), 0, std::move(text), screen_});
}

std::int64_t TapCounter::tick(std::int64_t now_ms) {
  std::int64_t next = -1;
  for (auto& [id, finger] : fingers_) {
    if (!finger.repeats || finger.off) continue;
    const TouchTarget* target = find(finger.id);
    if (!target) continue;
    if (now_ms >= finger.repeat_at) {
      push(*target);
      finger.repeat_at = now_ms + repeat_next_ms;
      finger.on_touch = true;  // the lift adds none
    }
    next = next < 0 ? finger.repeat_at : std::min(next, finger.repeat_at);
  }
  return next;
}

std::optional<TapRun> TapCounter::take_run() {
  if (queue_.empty()) return std::nullopt;
  TapRun run = std::move(queue_.front());
  queue_.pop_front();
  return run;
}

std::string_view TapCounter::pressed_id() const {
  for (const auto& [id, finger] : fingers_) {
    if (!finger.off && !finger.id.empty()) return finger.id;
  }
  return {};
}

bool TapCounter::counts_at(float x, float y) const {
  const TouchTarget* target = hit(x, y);
  return target && target->on_touch;
}

bool TapCounter::dragging() const {
  for (const auto& [id, finger] : fingers_) {
    if (finger.drag) return true;
  }
  return false;
}

float TapCounter::take_scroll() {
  const float moved = scroll_;
  scroll_ = 0;
  return moved;
}

std::optional<float> TapCounter::take_fling() {
  const std::optional<float> speed = fling_;
  fling_.reset();
  return speed;
}

}  // namespace nthtree::widgets
