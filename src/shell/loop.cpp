// SPDX-License-Identifier: Apache-2.0
#include "shell/loop.h"

#include <SDL.h>

#include <algorithm>
#include <cmath>

#include "widgets/language.h"

namespace nthtree::shell {
namespace {

constexpr int buzz_ms = 15;
constexpr std::int64_t mouse_finger = -1;

int SDLCALL on_event(void* loop, SDL_Event* event) {
  static_cast<Loop*>(loop)->watch(*event);
  return 1;
}

}  // namespace

Loop::Loop(app::Platform& platform, app::Surface& surface, std::function<void()> ask_frame)
    : platform_(platform), ask_frame_(std::move(ask_frame)), surface_(surface) {
  surface_.ui().tap_counter().on_tap = [this](const widgets::TouchTarget& target) {
    if (target.takes_text) {
      platform_.focus_text(target.id);
    } else if (surface_.buzzes()) {
      platform_.vibrate(buzz_ms);
    }
    wake();
  };
}

bool Loop::create_window(const char* canvas) {
  SDL_SetHint(SDL_HINT_EMSCRIPTEN_KEYBOARD_ELEMENT, canvas);
  SDL_SetHint(SDL_HINT_TOUCH_MOUSE_EVENTS, "0");  // a finger is a finger
  SDL_SetHint(SDL_HINT_MOUSE_TOUCH_EVENTS, "0");
  if (SDL_Init(SDL_INIT_VIDEO) != 0) return false;
  window_ = SDL_CreateWindow("Nthtree", 0, 0, 390, 844,
                             SDL_WINDOW_RESIZABLE | SDL_WINDOW_ALLOW_HIGHDPI);
  return window_ && platform_.open_graphics(canvas);
}

bool Loop::start(const char* canvas) {
  if (!create_window(canvas)) return false;
  renderer_.restore();
  SDL_AddEventWatch(on_event, this);
  resize();
  return true;
}

void Loop::wake() {
  repaint_.wake();
  if (repaint_.should_schedule()) ask_frame_();
}

void Loop::set_hidden(bool hidden) {
  repaint_.set_hidden(hidden);
  renderer_.forget();
  if (hidden) surface_.ui().tap_counter().cancel_all();
  if (repaint_.should_schedule()) ask_frame_();
}

void Loop::set_context_lost(bool lost) {
  if (!lost) renderer_.restore();
  repaint_.set_context_lost(lost);
  if (repaint_.should_schedule()) ask_frame_();
}

void Loop::resize() {
  take_size();
  renderer_.forget();  // a canvas that is given its size anew is empty
  surface_.ui().tap_counter().cancel_all();
  wake();
}

void Loop::cancel() {
  surface_.ui().tap_counter().cancel_all();
  wake();
}

void Loop::take_size() {
  int width = 0, height = 0, device_width = 0, device_height = 0;
  SDL_GetWindowSize(window_, &width, &height);
  SDL_GetWindowSizeInPixels(window_, &device_width, &device_height);
  if (width <= 0 || height <= 0) return;
  size_.width = static_cast<float>(width);
  size_.height = static_cast<float>(height);
  size_.pixel_ratio = static_cast<float>(device_width) / size_.width;
  size_.safe = platform_.safe_area();
}

// A wake that comes early enough anyway is not asked for again: with every frame that would cost.
void Loop::ask_mirror(std::int64_t now) {
  const std::int64_t wait_ms = pace_.wait_ms(now);
  if (now + wait_ms >= mirror_asked_ms_ && mirror_asked_ms_ > now) return;
  mirror_asked_ms_ = now + wait_ms;
  platform_.schedule_wake(wait_ms);
}

void Loop::feed_mirror(std::int64_t now) {
  pace_.looked();
  if (!mirror_.changed(surface_.ui().controls())) return;
  pace_.written(now);
  platform_.update_mirror(mirror_.json());
}

void Loop::take_typefaces(std::string_view regular, std::string_view bold) {
  surface_.fonts().take(std::string(regular), std::string(bold));
  if (surface_.fonts().wants_rebuild()) wake();
}

void Loop::frame() {
  repaint_.begin();
  SDL_FlushEvents(SDL_FIRSTEVENT, SDL_LASTEVENT);  // the watch has seen them all
  const std::int64_t now = platform_.elapsed_ms();
  widgets::Ui& ui = surface_.ui();
  widgets::Fonts& fonts = surface_.fonts();
  const float scale = ui.theme().look.text_scale;
  if (!fonts.atlas() || scale != text_scale_ || letters_ != built_letters_ ||
      fonts.pixel_ratio() != size_.pixel_ratio) {
    text_scale_ = scale;
    built_letters_ = letters_;
    fonts.build(size_.pixel_ratio, scale, letters_);
  } else if (fonts.wants_rebuild()) {
    fonts.rebuild();
  }
  bool moving = surface_.lay_out(size_, now);
  if (fonts.wants_rebuild() || fonts.any_script().is_full() ||
      ui.theme().look.text_scale != text_scale_) {
    moving = true;
  }
  if (const std::int64_t next = ui.tap_counter().tick(now); next >= 0) {
    platform_.schedule_wake(std::max<std::int64_t>(1, next - now));
  }
  moving = moving || ui.has_pending();
  for (const widgets::Announcement& said : ui.take_announcements()) {
    platform_.announce(said.text, said.assertive);
  }
  const bool dusk = ui.theme().look.dusk;
  if (said_lang_ != widgets::current_language() || said_dusk_ != dusk) {
    said_lang_ = widgets::current_language();
    said_dusk_ = dusk;
    platform_.set_document(said_lang_, "Nthtree", dusk);
  }
  if (repaint_.may_draw()) {
    renderer_.draw(ui.painter().lists(), fonts, size_.width, size_.height, size_.pixel_ratio,
                   ui.theme().page.back);
  }
  const widgets::TapCounter& fingers = ui.tap_counter();
  pace_.laid_out(now, !fingers.pressed_id().empty() || fingers.dragging(), ui.scrolled());
  ask_mirror(now);
  repaint_.end(moving);
  if (repaint_.should_schedule()) ask_frame_();
}

bool Loop::busy() const {
  return repaint_.scheduled() || pace_.waits() || surface_.ui().has_pending();
}

bool Loop::takes_taps() const {
  return !surface_.ui().tap_counter().is_new_screen(platform_.elapsed_ms());
}

void Loop::timer() {
  const std::int64_t now = platform_.elapsed_ms();
  if (surface_.ui().tap_counter().tick(now) >= 0) wake();
  mirror_asked_ms_ = never;  // the page has one timer, for the earliest wish: it is gone now
  if (pace_.due(now)) feed_mirror(now);
  if (pace_.waits()) ask_mirror(now);
}

void Loop::activate(std::string_view id) {
  surface_.ui().tap_counter().activate(id);
  wake();
}

void Loop::type(std::string_view id, std::string text) {
  surface_.ui().tap_counter().type(id, std::move(text));
  wake();
}

void Loop::focus(std::string_view id, bool by_keyboard) {
  surface_.ui().focus(id, by_keyboard);
  wake();
}

void Loop::scroll(float distance) {
  surface_.ui().scroll_by(distance);
  wake();
}

void Loop::watch(const SDL_Event& event) {
  widgets::TapCounter& taps = surface_.ui().tap_counter();
  const std::int64_t now = platform_.touched_ms();
  const float w = size_.width, h = size_.height;
  switch (event.type) {
    case SDL_FINGERDOWN:
      taps.down(event.tfinger.fingerId, event.tfinger.x * w, event.tfinger.y * h, now);
      if (const std::int64_t next = taps.tick(now); next >= 0) platform_.schedule_wake(next - now);
      break;
    case SDL_FINGERMOTION:
      taps.move(event.tfinger.fingerId, event.tfinger.x * w, event.tfinger.y * h, now);
      break;
    case SDL_FINGERUP:
      taps.up(event.tfinger.fingerId, event.tfinger.x * w, event.tfinger.y * h, now);
      break;
    case SDL_MOUSEBUTTONDOWN:
    case SDL_MOUSEBUTTONUP: {
      if (event.button.which == SDL_TOUCH_MOUSEID || event.button.button != SDL_BUTTON_LEFT) return;
      const float x = static_cast<float>(event.button.x), y = static_cast<float>(event.button.y);
      if (event.type == SDL_MOUSEBUTTONDOWN) {
        taps.down(mouse_finger, x, y, now);
        if (const std::int64_t next = taps.tick(now); next >= 0) {
          platform_.schedule_wake(next - now);
        }
      } else {
        taps.up(mouse_finger, x, y, now);
      }
      break;
    }
    case SDL_MOUSEMOTION:
      if (event.motion.which == SDL_TOUCH_MOUSEID || event.motion.state == 0) return;
      taps.move(mouse_finger, static_cast<float>(event.motion.x),
                static_cast<float>(event.motion.y), now);
      break;
    case SDL_MOUSEWHEEL:
      surface_.ui().scroll_by(-event.wheel.preciseY * 60);
      break;
    case SDL_WINDOWEVENT:
      if (event.window.event == SDL_WINDOWEVENT_SIZE_CHANGED) {
        resize();
      } else if (event.window.event == SDL_WINDOWEVENT_FOCUS_LOST) {
        taps.cancel_all();
      }
      return;
    default: return;  // SDL_POLLSENTINEL above all: it would wake the loop for ever
  }
  wake();
}

}  // namespace nthtree::shell
