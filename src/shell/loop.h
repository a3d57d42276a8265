// SPDX-License-Identifier: Apache-2.0
//
// The canvas: SDL2's window and touch events, the frames that repaint.h asks for, the renderer and
// the mirror. It hands sizes and taps to a Surface and knows nothing of what is drawn.
//
// Fingers are counted in SDL's event watch, which runs inside the browser's own event handler:
// that keeps the user's gesture (an input field may open the keyboard, the phone may buzz) and
// counts taps whatever the frame rate.
//
//   Loop loop(platform, app);
//   loop.start("#canvas");        // then everything happens in events
#pragma once

#include <cstdint>
#include <functional>
#include <limits>
#include <string>
#include <string_view>

#include "app/platform.h"
#include "shell/mirror_pace.h"
#include "shell/renderer.h"
#include "shell/repaint.h"
#include "app/surface.h"
#include "widgets/mirror.h"

struct SDL_Window;
union SDL_Event;

namespace nthtree::shell {

class Loop {
 public:
  // ask_frame: asks the browser for one animation frame, which must call frame().
  Loop(app::Platform& platform, app::Surface& surface, std::function<void()> ask_frame);
  bool start(const char* canvas);  // false where there is nothing to draw on
  bool can_draw() const { return renderer_.works(); }  // after the first frame

  void wake();
  void frame();               // one animation frame
  void timer();               // a wake that was scheduled is due
  void set_hidden(bool hidden);
  void set_context_lost(bool lost);
  void resize();              // the page said that sizes may have changed
  void cancel();              // the browser took the fingers for itself: no tap, no drag
  bool counts_at(float x, float y) const { return surface_.ui().tap_counter().counts_at(x, y); }
  void take_typefaces(std::string_view regular, std::string_view bold);
  void set_letters(std::string letters) { letters_ = std::move(letters); }  // of the languages
  std::int64_t frames_drawn() const { return repaint_.drawn(); }
  bool busy() const;       // a frame, a tap or the mirror is still to come
  bool takes_taps() const;  // not while a screen is too new for them
  void watch(const SDL_Event& event);
  // From the mirror: a screen reader, the keyboard, a test.
  void activate(std::string_view id);
  void type(std::string_view id, std::string text);
  void focus(std::string_view id, bool by_keyboard);
  void scroll(float distance);

 private:
  static constexpr std::int64_t never = std::numeric_limits<std::int64_t>::max();
  bool create_window(const char* canvas);
  void take_size();
  void ask_mirror(std::int64_t now);  // to be woken when the mirror is due
  void feed_mirror(std::int64_t now);

  app::Platform& platform_;
  std::function<void()> ask_frame_;
  app::Surface& surface_;
  Renderer renderer_;
  Repaint repaint_;
  widgets::Mirror mirror_;
  SDL_Window* window_ = nullptr;
  app::SurfaceSize size_;
  float text_scale_ = 0;
  std::string letters_;
  std::string built_letters_;
  MirrorPace pace_;
  std::int64_t mirror_asked_ms_ = never;  // when a wake for it was asked for
  std::string said_lang_;
  bool said_dusk_ = false;
};

}  // namespace nthtree::shell
