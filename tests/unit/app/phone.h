// SPDX-License-Identifier: Apache-2.0
//
// The whole app on a platform in memory, with hands that find controls by their words.
#pragma once

#include <dirent.h>
#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <string_view>
#include <utility>

#include "app/app.h"
#include "app/platform_native.h"
#include "support/places.h"
#include "support/typefaces.h"
#include "widgets/headless.h"
#include "widgets/language.h"

namespace nthtree::app {

using screens::ScreenId;

inline std::string read_text(const std::string& path) {
  std::string text, unused;
  widgets::read_fonts(path, path, text, unused);
  return text;
}

inline widgets::Fonts& fonts() {
  static widgets::Fonts* loaded = [] {
    widgets::Fonts* made = &test::new_typefaces();
    CHECK(made->build(1, 1, ""));
    for (const char* code : {"en", "es"}) {
      auto language = widgets::Language::parse(
          code, read_text(test::in_project("assets/languages/" + std::string(code) + ".json")));
      CHECK(language.ok());
      if (language) widgets::add_language(std::move(language.value()));
    }
    return made;
  }();
  return *loaded;
}

// A phone: the app, its platform, and hands.
struct Phone {
  PlatformNative& platform;
  App app;
  explicit Phone(PlatformNative& p) : platform(p), app(p, fonts()) {
    platform.connect(app);
    app.start(read_text(test::in_project("assets/varieties.json")));
    platform.deliver();
    look();
  }
  void look() {
    for (int i = 0; i < 3; ++i) {
      app.lay_out({360, 740, 1, {}}, platform.elapsed_ms());
      platform.deliver();
    }
  }
  const widgets::Control* find(std::string_view label) {
    for (const widgets::Control& control : app.ui().controls()) {
      if (control.label == label) return &control;
    }
    return nullptr;
  }
  bool tap(std::string_view label) {
    const widgets::Control* control = find(label);
    if (!control || !app.ui().tap_counter().activate(control->id)) {
      MESSAGE("no control: " << std::string(label));
      for (const auto& c : app.ui().controls()) MESSAGE("  " << c.id << ": " << c.label);
      return false;
    }
    look();
    return true;
  }
  void tap_id(std::string_view id, int times = 1) {
    for (int i = 0; i < times; ++i) CHECK(app.ui().tap_counter().activate(id));
    look();
  }
  // The small counts of a test are asked about, as slips of a finger are.
  void save_count() {
    tap_id("save");
    if (app.session().asking == "odd") tap_id("odd/yes");
  }
  void type(std::string_view label, std::string text) {
    const widgets::Control* control = find(label);
    CHECK(control != nullptr);
    if (control) app.ui().tap_counter().type(control->id, std::move(text));
    look();
  }
  ScreenId here() const { return app.session().here().screen; }
};

inline std::string words(std::string_view key) { return widgets::tr(key); }

inline void start_farm(Phone& phone) {
  CHECK(phone.tap(words("welcome.start")));
  phone.type(words("start.farm"), "Quince Hollow");
  phone.type(words("start.you"), "Imke");
  CHECK(phone.tap(words("start.go")));
}

// The demo farm's own records, as if they had come from a hub: a season to count in.
inline void put_season(PlatformNative& platform) {
  const std::string folder = test::in_project("scenarios/oxbow_lantern/");
  DIR* files = opendir(folder.c_str());
  CHECK(files != nullptr);
  while (const dirent* file = files ? readdir(files) : nullptr) {
    const std::string name = file->d_name;
    if (name.find(".jsonl") == std::string::npos) continue;
    const std::string text = read_text(folder + name);
    for (std::size_t at = 0; at < text.size();) {
      const std::size_t end = std::min(text.find('\n', at), text.size());
      const std::string line = text.substr(at, end - at);
      at = end + 1;
      if (auto record = ledger::read_record(line)) {
        platform.records[{record->id.device.text(),
                          static_cast<std::int64_t>(record->id.sequence)}] = line;
      }
    }
  }
  if (files) closedir(files);
}

// The demo farm where the app looks for it; `farm` takes its records. Gives them as lines.
inline std::string put_demo(PlatformNative& platform, PlatformNative& farm) {
  put_season(farm);
  std::string lines;
  for (const auto& [key, json] : farm.records) lines += json + "\n";
  platform.assets["demo.jsonl"] = lines;
  return lines;
}

}  // namespace nthtree::app
