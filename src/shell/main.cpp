// SPDX-License-Identifier: Apache-2.0
// Where the page hands over: web/start.js has fetched the two typefaces and the language in use and
// calls nthtree_start once. Everything after that happens in events; nothing here ever returns to a
// loop.
#include <emscripten.h>

#include <cstdlib>
#include <memory>
#include <string>

#include "app/app.h"
#include "shell/gallery_surface.h"
#include "shell/loop.h"
#include "shell/no_app.h"
#include "shell/platform_web.h"
#include "widgets/language.h"

namespace nthtree::shell {
namespace {

// Lives as long as the page does.
struct Program {
  Program(std::string regular, std::string bold) : fonts(std::move(regular), std::move(bold)) {
    fonts.any_script().set_writer(&platform);
  }
  PlatformWeb platform;
  widgets::Fonts fonts;
  std::unique_ptr<app::App> app;
  std::unique_ptr<app::Surface> gallery;
  NoApp nobody;
  app::Surface& surface() { return app ? *app : *gallery; }
  std::unique_ptr<Loop> loop;
};
Program* program = nullptr;

struct Words {
  std::string letters;  // every letter the language in use has, and the languages' names
  std::string varieties;
};

// {"es": "Español"}: languages there are, whose texts may still be to come.
void expect_languages(std::string_view json) {
  const auto names = widgets::Language::parse("", json);
  if (!names) return;
  for (const auto& [code, name] : names->texts()) {
    widgets::add_language(widgets::Language::expected(code, name));
  }
}

// "name US text RS" for each: "languages.json", "varieties.json" and, as widgets::Language reads
// them, the texts of "languages/en" or, where these are but its first ones, "languages/en.first".
Words take_words(std::string_view text) {
  Words words;
  while (!text.empty()) {
    const std::string_view entry = text.substr(0, text.find('\x1e'));
    text.remove_prefix(std::min(entry.size() + 1, text.size()));
    const std::size_t at = entry.find('\x1f');
    if (at == std::string_view::npos) continue;
    std::string_view name = entry.substr(0, at);
    const std::string_view content = entry.substr(at + 1);
    if (name == "varieties.json") words.varieties = content;
    if (name == "languages.json") expect_languages(content);
    if (name.rfind("languages", 0) == 0) words.letters += content;
    if (name.rfind("languages/", 0) != 0) continue;
    name.remove_prefix(10);
    auto language = widgets::Language::read(name.substr(0, name.find('.')), content);
    if (!language) continue;  // a broken language file must not keep anybody from counting
    if (name.find(".first") != name.npos) language->expect_rest(rest_of_texts);
    widgets::add_language(std::move(language.value()));
  }
  return words;
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
  const Words words = take_words(taken(languages, languages_length));
  nthtree::widgets::choose_language(program->platform.language());
  if (program->platform.start_fragment() == "gallery") {
    program->gallery = make_gallery(program->fonts);
  }
  if (!program->gallery) {
    program->app = std::make_unique<nthtree::app::App>(program->platform, program->fonts);
  }
  program->loop = std::make_unique<Loop>(program->platform, program->surface(),
                                         [] { program->platform.animation_frame(); });
  program->loop->set_letters(words.letters);
  if (program->app) {
    program->platform.connect(*program->app, *program->loop);
    program->app->start(words.varieties);
  } else {
    program->platform.connect(program->nobody, *program->loop);
  }
  return program->loop->start("#canvas") ? 1 : 0;
}

// Whether what was drawn can be seen; waits for the driver.
EMSCRIPTEN_KEEPALIVE int nthtree_draws() {
  return nthtree::shell::program->loop->can_draw() ? 1 : 0;
}

EMSCRIPTEN_KEEPALIVE int nthtree_counts_at(float x, float y) {
  return nthtree::shell::program && nthtree::shell::program->loop->counts_at(x, y) ? 1 : 0;
}

// For the tests: what no element of the page can tell.
EMSCRIPTEN_KEEPALIVE double nthtree_frames() {
  return nthtree::shell::program ? static_cast<double>(
      nthtree::shell::program->loop->frames_drawn()) : 0;
}

// 0: at rest; 1: something is still to come; 2: at rest, but too new a screen for taps.
EMSCRIPTEN_KEEPALIVE int nthtree_busy() {
  if (!nthtree::shell::program) return 0;
  const auto& loop = *nthtree::shell::program->loop;
  return loop.busy() ? 1 : loop.takes_taps() ? 0 : 2;
}

EMSCRIPTEN_KEEPALIVE double nthtree_taps() {
  return nthtree::shell::program ? static_cast<double>(
      nthtree::shell::program->surface().ui().tap_counter().counted()) : 0;
}

}  // extern "C"
