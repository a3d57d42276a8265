// SPDX-License-Identifier: Apache-2.0
//
// Joining a hub, as the person with the phone sees it: taken, not taken and why, and a farm with
// nothing in it yet.
#include <doctest/doctest.h>

#include "support/sync_driver.h"
#include "unit/app/phone.h"

using namespace nthtree;
using namespace nthtree::app;

namespace {

constexpr const char* good_code = "7KQ2M-0XWGT";

// Answers all requests that wait, and those that come of it.
void serve(Phone& phone, test::HubOfTest& hub) {
  for (int rounds = 0; rounds < 20 && !phone.platform.requests.empty(); ++rounds) {
    for (const auto& request : std::exchange(phone.platform.requests, {})) {
      const auto reply = hub.answer(request.path, request.body, request.bearer);
      phone.app.on_http_done(request.id, reply.status, reply.body);
    }
    phone.look();
  }
}

void type_code(Phone& phone) {
  CHECK(phone.tap(words("welcome.join")));
  phone.type(words("join.code"), good_code);
  CHECK(phone.tap(words("join.go")));
}

std::string notice(Phone& phone, std::string_view id) {
  for (const widgets::Control& control : phone.app.ui().controls()) {
    if (control.id == id) return control.label;
  }
  return "";
}

}  // namespace

TEST_SUITE("shell: joining") {
  TEST_CASE("a hub with an empty farm: joined is said, what is missing, and both ways on") {
    PlatformNative platform;
    Phone phone(platform);
    test::HubOfTest hub;
    type_code(phone);
    CHECK(phone.find(words("join.trying")));
    serve(phone, hub);
    CHECK(phone.here() == ScreenId::join_farm);
    CHECK(phone.find(words("join.done")));
    CHECK(phone.find(words("join.nothing")));
    CHECK_FALSE(phone.find(words("join.go")));  // no second code is asked for

    SUBCASE("what another phone sends later goes on by itself") {
      PlatformNative other_platform(2);
      Phone other(other_platform);
      type_code(other);
      serve(other, hub);
      CHECK(other.tap(words("welcome.start")));
      other.type(words("start.farm"), "Quince Hollow");
      other.type(words("start.you"), "Imke");
      CHECK(other.tap(words("start.go")));
      other_platform.deliver();
      other.look();
      serve(other, hub);
      CHECK(other.here() == ScreenId::home);
      CHECK(phone.tap(words("join.again")));
      serve(phone, hub);
      platform.deliver();
      phone.look();
      CHECK(phone.here() == ScreenId::who);
      CHECK(phone.app.season().farm().name == "Quince Hollow");
    }
    SUBCASE("the app opened again waits at the same place") {
      Phone again(platform);
      serve(again, hub);
      CHECK(again.here() == ScreenId::join_farm);
      CHECK(again.find(words("join.nothing")));
    }
    SUBCASE("a network that is gone is told as that, not as an empty farm") {
      Phone again(platform);
      for (const auto& request : std::exchange(platform.requests, {})) {
        again.app.on_http_done(request.id, 0, "");
      }
      again.look();
      CHECK(again.find(words("join.cut_off")));
      CHECK_FALSE(again.find(words("join.nothing")));
    }
  }

  TEST_CASE("a phone with a farm of its own goes on where it was, and is told that it joined") {
    PlatformNative platform;
    Phone phone(platform);
    test::HubOfTest hub;
    start_farm(phone);
    for (const char* id : {"settings", "sync", "join"}) phone.tap_id(id);
    phone.type(words("join.code"), good_code);
    CHECK(phone.tap(words("join.go")));
    serve(phone, hub);
    CHECK(phone.here() == ScreenId::sync);
    REQUIRE(phone.app.session().toast);
    CHECK(phone.app.session().toast->key == "toast.joined");
    CHECK(phone.app.session().sync.unsent == 0);
  }

  TEST_CASE("a code that is not taken: why, for how long codes are good, and what helps") {
    PlatformNative platform;
    Phone phone(platform);
    const std::pair<const char*, const char*> refusals[] = {{"code_unknown", "join.unknown"},
                                                            {"code_used", "join.used"},
                                                            {"code_expired", "join.expired"},
                                                            {"bad_code", "join.refused"},
                                                            {"foreign_page", "join.foreign_page"}};
    type_code(phone);
    std::set<std::string> said;
    for (const auto& [id, key] : refusals) {
      REQUIRE(platform.requests.size() == 1);
      const RequestId request = std::exchange(platform.requests, {}).front().id;
      phone.app.on_http_done(request, 403, sync::write_code_refusal({id, "x", ""}, 15));
      phone.look();
      const std::string text = notice(phone, "state");
      CHECK(text == widgets::tr(key, {{"time", "15 minutes"}}));
      CHECK(said.insert(text).second);
      CHECK(phone.tap(words("join.go")));
    }
    const RequestId request = std::exchange(platform.requests, {}).front().id;
    phone.app.on_http_done(request, 0, "");
    phone.look();
    CHECK(notice(phone, "state") == words("join.unreachable"));
  }

  TEST_CASE("a key that the office has withdrawn is told as that when a new code is asked for") {
    PlatformNative platform;
    Phone phone(platform);
    test::HubOfTest hub;
    type_code(phone);
    serve(phone, hub);
    hub.refuse_status = 401;
    CHECK(phone.tap(words("join.again")));
    serve(phone, hub);
    CHECK(notice(phone, "state") == words("sync.link.refused"));
    CHECK(phone.find(words("join.go")));
  }

  TEST_CASE("a hub that came back from a backup said nothing to the person with the phone") {
    PlatformNative platform;
    Phone phone(platform);
    test::HubOfTest hub;
    type_code(phone);
    serve(phone, hub);
    auto backup = hub.store.content();
    const auto an_hour = [&] {
      for (int minute = 0; minute < 60; ++minute) {
        platform.advance(60000);
        serve(phone, hub);
      }
    };
    an_hour();
    CHECK_FALSE(phone.app.session().toast);
    backup.epoch = "epoch 2";
    hub.store.replace(backup);
    hub.store.note_opening("next");
    REQUIRE(hub.side.open().ok());
    bool told = false;
    for (int minute = 0; minute < 10 && !told; ++minute) {
      platform.advance(60000);
      serve(phone, hub);
      const auto& toast = phone.app.session().toast;
      told = toast && toast->key == "toast.hub_set_back";
    }
    CHECK(told);
  }

  TEST_CASE("a phone that joined after the backup was told what a lost one is told") {
    const std::pair<const char*, const char*> refusals[] = {
        {"key_withdrawn", "sync.link.withdrawn"}, {"key_unknown", "sync.link.unknown"},
        {"no_key", "sync.link.refused"}};
    for (const auto& [id, key] : refusals) {
      PlatformNative platform;
      Phone phone(platform);
      test::HubOfTest hub;
      type_code(phone);
      serve(phone, hub);
      hub.refuse_status = 401;
      hub.refuse_word = id;
      CHECK(phone.tap(words("join.again")));
      serve(phone, hub);
      CHECK(phone.app.session().sync.key_refusal == id);
      CHECK(notice(phone, "state") == words(key));
    }
  }
}
