// SPDX-License-Identifier: Apache-2.0
//
// The whole app on a platform in memory: from a tap to the disk and back, without a browser.
#include "shell/app.h"

#include <dirent.h>
#include <doctest/doctest.h>

#include <cstdio>

#include "shell/platform_native.h"
#include "widgets/headless.h"
#include "widgets/language.h"

using namespace nthtree;
using namespace nthtree::shell;
using screens::SaveState;
using screens::ScreenId;

namespace {

std::string read_text(const std::string& path) {
  std::string text, unused;
  widgets::read_fonts(path, path, text, unused);
  return text;
}

widgets::Fonts& fonts() {
  static widgets::Fonts* loaded = [] {
    std::string regular, bold;
    widgets::read_fonts(NTHTREE_FONTS "/DejaVuSansCondensed.ttf",
                        NTHTREE_FONTS "/DejaVuSansCondensed-Bold.ttf", regular, bold);
    auto* made = new widgets::Fonts(std::move(regular), std::move(bold));
    CHECK(made->build(1, 1, ""));
    for (const char* code : {"en", "es"}) {
      auto language = widgets::Language::parse(
          code, read_text(NTHTREE_SOURCE_DIR "/assets/languages/" + std::string(code) + ".json"));
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
    app.start(read_text(NTHTREE_SOURCE_DIR "/assets/varieties.json"));
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
  void type(std::string_view label, std::string text) {
    const widgets::Control* control = find(label);
    CHECK(control != nullptr);
    if (control) app.ui().tap_counter().type(control->id, std::move(text));
    look();
  }
  ScreenId here() const { return app.session().here().screen; }
};

std::string words(std::string_view key) { return widgets::tr(key); }

void start_farm(Phone& phone) {
  CHECK(phone.tap(words("welcome.start")));
  phone.type(words("start.farm"), "Quince Hollow");
  phone.type(words("start.you"), "Imke");
  CHECK(phone.tap(words("start.go")));
}

// The demo farm's own records, as if they had come from a hub: a season to count in.
void put_season(PlatformNative& platform) {
  const std::string folder = NTHTREE_SOURCE_DIR "/scenarios/oxbow_lantern/";
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

// A pruner of that farm, with the count screen open.
void open_count(Phone& phone) {
  const auto& people = phone.app.season().people();
  for (const auto& [id, person] : people) {
    if (person.person.role != orchard::Role::pruner) continue;
    CHECK(phone.tap(person.person.name));
    break;
  }
  if (phone.here() == ScreenId::choose_block) {
    CHECK(phone.tap(phone.app.season().blocks().begin()->second.block->name));
  }
  CHECK(phone.here() == ScreenId::home);
}

}  // namespace

TEST_SUITE("shell") {
  TEST_CASE("an empty phone leads to the first screen, and a farm is started with two records") {
    PlatformNative platform;
    Phone phone(platform);
    CHECK(phone.here() == ScreenId::welcome);
    CHECK(platform.records.empty());
    start_farm(phone);
    CHECK(platform.records.size() == 2);
    CHECK(phone.app.season().farm().name == "Quince Hollow");
    CHECK(phone.app.season().people().size() == 1);
    CHECK(phone.here() == ScreenId::home);
    CHECK(phone.app.session().last_save.state == SaveState::on_phone);
    CHECK(platform.meta.count("memory") == 1);

    SUBCASE("and everything is there again after the tab was killed") {
      Phone again(platform);
      CHECK(again.here() == ScreenId::home);
      CHECK(again.app.season().farm().name == "Quince Hollow");
      CHECK(again.app.session().person == phone.app.session().person);
    }
  }

  TEST_CASE("nothing is called saved that the disk has not confirmed, and nothing is lost by it") {
    PlatformNative platform;
    Phone phone(platform);
    platform.next_outcome = StoreOutcome::full;
    start_farm(phone);
    CHECK(platform.records.empty());
    CHECK(phone.app.session().last_save.state == SaveState::failed);
    CHECK(phone.app.session().last_save.trouble == "full");
    CHECK(phone.app.session().storage.full);
    CHECK_FALSE(phone.app.season().has_farm());
    platform.next_outcome = StoreOutcome::saved;
    CHECK(phone.tap(words("saved.again")));
    CHECK(platform.records.size() == 2);
    CHECK(phone.app.session().last_save.state == SaveState::on_phone);
  }

  TEST_CASE("a database that went away is tried again by itself") {
    PlatformNative platform;
    Phone phone(platform);
    platform.next_outcome = StoreOutcome::closed;
    start_farm(phone);
    CHECK(platform.records.empty());
    platform.next_outcome = StoreOutcome::saved;
    platform.advance(5000);
    CHECK(platform.records.size() == 2);
  }

  TEST_CASE("a load that fails writes nothing and is tried again") {
    PlatformNative platform;
    platform.load_fails = true;
    Phone phone(platform);
    CHECK(phone.here() == ScreenId::opening);
    CHECK(platform.writes == 0);
    platform.load_fails = false;
    platform.advance(5000);
    phone.look();
    CHECK(phone.here() == ScreenId::welcome);
  }

  TEST_CASE("an interrupted count comes back, and its end is one write with the count") {
    PlatformNative platform;
    put_season(platform);
    const std::size_t before = platform.records.size();
    CHECK(before > 2000);
    Phone phone(platform);
    open_count(phone);
    const auto count_button = [](Phone& p) {
      for (const widgets::Control& control : p.app.ui().controls()) {
        if (control.id == "count") return control.id;
      }
      return std::string();
    };
    CHECK_FALSE(count_button(phone).empty());
    phone.tap_id("count");
    CHECK(phone.here() == ScreenId::count);
    CHECK(platform.awake);
    phone.tap_id("pad", 37);
    CHECK(phone.app.session().drafts.count->spurs() == 37);
    CHECK(platform.drafts.size() == 1);

    Phone again(platform);  // the tab was killed
    CHECK(again.here() == ScreenId::count);
    REQUIRE(again.app.session().drafts.count.has_value());
    CHECK(again.app.session().drafts.count->spurs() == 37);
    again.tap_id("pad", 3);
    const int writes = platform.writes;
    again.tap_id("save");
    CHECK(platform.writes == writes + 1);
    CHECK(platform.records.size() == before + 1);
    CHECK(platform.drafts.empty());
    CHECK(again.here() == ScreenId::verdict);
    CHECK(again.app.session().last_save.state == SaveState::on_phone);
  }

  TEST_CASE("a draft is not overwritten while its count waits for the disk") {
    PlatformNative platform;
    put_season(platform);
    Phone phone(platform);
    open_count(phone);
    phone.tap_id("count");
    phone.tap_id("pad", 5);
    const std::string kept = platform.drafts.begin()->second;
    platform.next_outcome = StoreOutcome::full;
    phone.tap_id("save");
    CHECK(phone.app.session().last_save.state == SaveState::failed);
    CHECK(platform.drafts.begin()->second == kept);
    Phone again(platform);  // killed now: the count is still there as a draft
    CHECK(again.app.session().drafts.count->spurs() == 5);
  }

  TEST_CASE("the demo farm opens, takes counts, and leaves no trace") {
    PlatformNative platform, farm;
    put_season(farm);
    std::string lines;
    for (const auto& [key, json] : farm.records) lines += json + "\n";
    platform.assets["demo.jsonl"] = lines;
    Phone phone(platform);
    CHECK(phone.tap(words("welcome.demo")));
    CHECK(phone.app.session().demo);
    CHECK(phone.app.season().records() == farm.records.size());
    open_count(phone);
    phone.tap_id("count");
    phone.tap_id("pad", 12);
    phone.tap_id("save");
    CHECK(phone.app.season().records() == farm.records.size() + 1);
    CHECK(platform.records.empty());
    CHECK(platform.drafts.empty());
    CHECK(platform.meta.count("memory") == 0);
    for (const char* id : {"next", "settings", "sync", "share", "json"}) phone.tap_id(id);
    CHECK(phone.here() == ScreenId::share);
    CHECK(platform.files.empty());  // the farm's own records do not go out under the demo's name
  }

  TEST_CASE("everything is exported byte for byte, and a second phone takes it in once") {
    PlatformNative platform, other;
    Phone phone(platform);
    start_farm(phone);
    Phone second(other);
    std::string lines;
    for (const auto& [key, json] : platform.records) lines += json + "\n";
    second.app.on_file("from another phone", lines);
    other.deliver();
    second.look();
    CHECK(other.records == platform.records);
    CHECK(second.here() == ScreenId::who);
    second.app.on_file("the same again", lines);
    other.deliver();
    CHECK(other.records == platform.records);
  }

  TEST_CASE("the browser's history is as deep as the screens, and back goes back") {
    PlatformNative platform;
    Phone phone(platform);
    CHECK(platform.history == 0);
    CHECK(phone.tap(words("welcome.start")));
    CHECK(platform.history == 1);
    phone.app.on_back();
    phone.look();
    CHECK(phone.here() == ScreenId::welcome);
    CHECK(phone.tap(words("welcome.start")));
    CHECK(phone.tap(words("frame.back")));
    CHECK(phone.here() == ScreenId::welcome);
  }

  TEST_CASE("a join code in the address opens the join screen with the code in it") {
    PlatformNative platform;
    platform.fragment = "p=ABCDE23456";
    Phone phone(platform);
    CHECK(phone.here() == ScreenId::join_farm);
    CHECK(phone.app.session().fields.at("code") == "ABCDE23456");
  }
}
