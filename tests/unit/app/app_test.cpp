// SPDX-License-Identifier: Apache-2.0
//
// The whole app on a platform in memory: from a tap to the disk and back, without a browser.
#include "app/app.h"

#include <doctest/doctest.h>

#include "unit/app/phone.h"

using namespace nthtree;
using namespace nthtree::app;
using screens::SaveState;
using screens::ScreenId;

namespace {

// A pruner of that farm, with the count screen open.
void open_count(Phone& phone) {
  const auto& people = phone.app.season().people();
  for (const auto& [id, person] : people) {
    if (person.role != orchard::Role::pruner) continue;
    CHECK(phone.tap(person.name));
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

  TEST_CASE("what a browser threw away is told once where it came back, and always where it did not") {
    PlatformNative platform;
    Phone phone(platform);
    StoreStatus status;
    status.brought_back = 93;
    phone.app.on_store_status(status);
    REQUIRE(phone.app.session().toast);
    CHECK(phone.app.session().toast->key == "sync.brought_back");
    CHECK(phone.app.session().toast->value == "93");
    platform.advance(60000);
    phone.app.on_wake();
    phone.app.on_store_status(status);
    CHECK_FALSE(phone.app.session().toast);
    phone.look();
    const auto told = [&phone] {
      for (const widgets::Control& control : phone.app.ui().controls()) {
        if (control.label.find("threw away") != std::string::npos) return true;
      }
      return false;
    };
    CHECK_FALSE(told());
    status.lost = 4;
    phone.app.on_store_status(status);
    phone.look();
    CHECK(told());
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

  TEST_CASE("a load that breaks off in the middle begins anew, and nothing counts twice") {
    PlatformNative platform;
    put_season(platform);
    platform.load_fails = true;
    Phone phone(platform);
    std::vector<std::string_view> some = {"no record"};
    for (const auto& [key, json] : platform.records) some.push_back(json);
    some.resize(some.size() / 2);
    const std::string other = R"({"device":"00000000000000000000000000000001","hearsay":{")" +
                              platform.records.begin()->first.first + R"(":"1-9"}})";
    phone.app.on_store_named({{"sync", other}}, {}, 0);
    phone.app.on_store_records(some);
    CHECK(phone.app.season().records() == 0);  // nobody sees half a season
    phone.app.on_store_load_failed("closed");
    CHECK(phone.here() == ScreenId::opening);
    platform.load_fails = false;
    platform.advance(5000);
    phone.look();
    CHECK(phone.app.season().records() == platform.records.size());
    CHECK(phone.app.session().sync.set_aside == 0);
    CHECK(phone.app.session().sync.hearsay == 0);
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
    again.save_count();
    CHECK(platform.writes == writes + 1);
    CHECK(platform.records.size() == before + 1);
    CHECK(platform.drafts.empty());
    CHECK(again.here() == ScreenId::verdict);
    CHECK(again.app.session().last_save.state == SaveState::on_phone);
  }

  TEST_CASE("a count of more than four hours was refused for its seconds, and lost with its draft") {
    PlatformNative platform;
    put_season(platform);
    const std::size_t before = platform.records.size();
    Phone phone(platform);
    open_count(phone);
    phone.tap_id("count");
    for (int i = 0; i < 730; ++i) {  // a tap each twenty seconds: the longest pause that counts
      platform.now_ms += screens::pause_ms_max;
      CHECK(phone.app.ui().tap_counter().activate(i < 150 || i % 2 ? "pad" : "undo"));
      phone.app.lay_out({360, 740, 1, {}}, platform.elapsed_ms());
    }
    platform.deliver();
    phone.tap_id("save");
    CHECK(platform.records.size() == before + 1);
    CHECK(phone.app.session().last_save.state == SaveState::on_phone);
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
    phone.save_count();
    CHECK(phone.app.session().last_save.state == SaveState::failed);
    CHECK(platform.drafts.begin()->second == kept);
    Phone again(platform);  // killed now: the count is still there as a draft
    CHECK(again.app.session().drafts.count->spurs() == 5);
  }

  TEST_CASE("the demo farm opens, takes counts, and leaves no trace") {
    PlatformNative platform, farm;
    put_demo(platform, farm);
    Phone phone(platform);
    CHECK(phone.tap(words("welcome.demo")));
    CHECK(phone.app.session().demo);
    CHECK(phone.app.season().records() == farm.records.size());
    open_count(phone);
    phone.tap_id("count");
    phone.tap_id("pad", 12);
    phone.save_count();
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
    CHECK(second.here() == ScreenId::receive);  // what came in is told first
    CHECK(second.tap(words("take.who")));
    CHECK(second.here() == ScreenId::home);
    CHECK(second.find(words("who.title")) != nullptr);
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

  TEST_CASE("a language chosen before its texts have come is fetched, said, and spoken once here") {
    PlatformNative platform;
    Phone phone(platform);
    widgets::add_language(widgets::Language::expected("fr", "Français"));
    phone.look();
    phone.tap_id("language/fr");
    CHECK(platform.languages_asked == std::vector<std::string>{"fr"});
    CHECK(widgets::current_language() == "en");
    phone.app.on_language("fr", false);
    REQUIRE(phone.app.session().toast.has_value());
    CHECK(phone.app.session().toast->key == "toast.language_waits");
    CHECK(phone.app.session().toast->value == "Français");

    auto french = widgets::Language::parse(
        "fr", read_text(test::in_project("assets/languages/fr.json")));
    widgets::add_language(std::move(french.value()));
    phone.app.on_language("fr", true);
    CHECK(widgets::current_language() == "fr");
    phone.tap_id("language/en");
    CHECK(widgets::current_language() == "en");
  }
}
