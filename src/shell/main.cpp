// SPDX-License-Identifier: Apache-2.0
// Where the page hands over: web/start.js has fetched the two typefaces and the languages and calls
// nthtree_start once. Everything after that happens in events; nothing here ever returns to a loop.
#include <emscripten.h>

#include <memory>
#include <string>

#include "shell/gallery_surface.h"
#include "shell/loop.h"
#include "shell/no_app.h"
#include "shell/platform_web.h"
#include "widgets/language.h"

namespace nthtree::shell {
namespace {

// Lives as long as the page does.
struct Program {
  Program(std::string regular, std::string bold) : fonts(std::move(regular), std::move(bold)) {}
  PlatformWeb platform;
  widgets::Fonts fonts;
  std::unique_ptr<Surface> surface;
  NoApp events;
  std::unique_ptr<Loop> loop;
};
Program* program = nullptr;

// "code US json RS" for each language; gives back every letter they use.
std::string take_languages(std::string_view text) {
  std::string letters;
  while (!text.empty()) {
    const std::string_view entry = text.substr(0, text.find('\x1e'));
    text.remove_prefix(std::min(entry.size() + 1, text.size()));
    const std::size_t at = entry.find('\x1f');
    if (at == std::string_view::npos) continue;
    const std::string_view json = entry.substr(at + 1);
    auto language = widgets::Language::parse(entry.substr(0, at), json);
    if (!language) continue;  // a broken language file must not keep anybody from counting
    letters += json;
    widgets::add_language(std::move(language.value()));
  }
  return letters;
}

}  // namespace
}  // namespace nthtree::shell

extern "C" {

// The bytes are freed here. Returns 1, or 0 where there is no canvas to draw on.
EMSCRIPTEN_KEEPALIVE int nthtree_start(char* regular, int regular_length, char* bold,
                                       int bold_length, char* languages, int languages_length) {
  using namespace nthtree::shell;
  const auto taken = [](char* bytes, int length) {
    std::string text(bytes, static_cast<std::size_t>(length));
    std::free(bytes);
    return text;
  };
  std::string regular_bytes = taken(regular, regular_length);
  program = new Program(std::move(regular_bytes), taken(bold, bold_length));
  const std::string letters = take_languages(taken(languages, languages_length));
  nthtree::widgets::choose_language(program->platform.language());
  program->surface = std::make_unique<GallerySurface>(program->fonts);
  program->loop = std::make_unique<Loop>(program->platform, *program->surface);
  program->loop->set_letters(letters);
  program->platform.connect(program->events, *program->loop);
  return program->loop->start("#canvas") ? 1 : 0;
}

// For the tests: what no element of the page can tell.
EMSCRIPTEN_KEEPALIVE double nthtree_frames() {
  return nthtree::shell::program ? static_cast<double>(
      nthtree::shell::program->loop->frames_drawn()) : 0;
}

EMSCRIPTEN_KEEPALIVE double nthtree_taps() {
  return nthtree::shell::program ? static_cast<double>(
      nthtree::shell::program->surface->ui().tap_counter().counted()) : 0;
}

}  // extern "C"
