// SPDX-License-Identifier: Apache-2.0
//
// The manager's phone and the list of phones: asked of the hub, told, changed; refused in words.
// What the hub makes of it is tested with the real one (unit/hub/office_test.cpp,
// browser/phones.test.mjs).
#include <doctest/doctest.h>

#include "support/sync_driver.h"
#include "unit/app/phone.h"

using namespace nthtree;
using namespace nthtree::app;

namespace {

constexpr const char* two_keys = R"({"v":1,"asking":1,"keys":[
  {"id":1,"name":"office","person":"m1","role":"manager","joined_ms":1769990400000,
   "withdrawn_ms":0,"records":12,"last_ms":1769990500000,"hearsay":0,"aside":0},
  {"id":2,"name":"blue phone","person":"","role":"pruner","joined_ms":1769990400000,
   "withdrawn_ms":0,"records":96,"last_ms":0,"hearsay":4,"aside":1}]})";

// A manager's phone with a key, on the page of phones; the hub's own answers for sync.
struct ManagersPhone {
  PlatformNative platform;
  test::HubOfTest hub;
  Phone phone{platform};

  ManagersPhone() {
    start_farm(phone);
    for (const char* id : {"settings", "sync", "join"}) phone.tap_id(id);
    phone.type(words("join.code"), "7KQ2M-0XWGT");
    CHECK(phone.tap(words("join.go")));
    serve_sync();
    phone.app.on_back();
    phone.app.on_back();
    phone.look();
    phone.tap_id("farm");
    phone.tap_id("phones");
  }
  void serve_sync() {
    for (int rounds = 0; rounds < 20 && !platform.requests.empty(); ++rounds) {
      for (const auto& request : std::exchange(platform.requests, {})) {
        const auto reply = hub.answer(request.path, request.body, request.bearer);
        phone.app.on_http_done(request.id, reply.status, reply.body);
      }
      phone.look();
    }
  }
  bool shows(std::string_view text) {
    for (const widgets::Control& control : phone.app.ui().controls()) {
      if (control.label.find(text) != std::string::npos ||
          control.value.find(text) != std::string::npos) {
        return true;
      }
    }
    return false;
  }
  // The body of what was asked at that path, answered so.
  std::string answer(std::string_view path, int status, std::string_view body) {
    for (auto it = platform.requests.begin(); it != platform.requests.end(); ++it) {
      if (it->path != path) continue;
      const PlatformNative::Request request = *it;
      platform.requests.erase(it);
      CHECK(request.bearer == "key1");
      phone.app.on_http_done(request.id, status, body);
      phone.look();
      return request.body;
    }
    FAIL_CHECK("nothing was asked at " << std::string(path));
    return "";
  }
};

}  // namespace

TEST_SUITE("app: the phones that have joined") {
  TEST_CASE("phones could be withdrawn at the hub's own machine alone") {
    ManagersPhone m;
    CHECK(m.phone.here() == ScreenId::phones);
    m.answer(sync::path_keys, 200, two_keys);
    REQUIRE(m.phone.app.session().phones.list.size() == 2);
    m.phone.tap_id("phone/2");
    CHECK(m.shows("96"));
    m.phone.tap_id("withdraw");
    CHECK(m.platform.requests.empty());  // asked first
    m.phone.tap_id("withdraw/yes");
    CHECK(m.answer(sync::path_change_key, 200, R"({"v":1,"set_aside":0,"counted":0})") ==
          R"({"v":1,"id":2,"withdraw":true})");
    m.answer(sync::path_keys, 200, two_keys);  // the list is asked anew
    REQUIRE(m.phone.app.session().toast);
    CHECK(m.phone.app.session().toast->key == "toast.phone_changed");
  }

  TEST_CASE("a phone is named and given another role; what cannot be right is not sent") {
    ManagersPhone m;
    m.answer(sync::path_keys, 200, two_keys);
    m.phone.tap_id("phone/2");
    m.phone.type(words("edit.name"), "");
    m.phone.tap_id("keep");
    CHECK(m.platform.requests.empty());
    m.phone.type(words("edit.name"), "shed \"2\"");
    CHECK(m.phone.tap(words("role.lead")));
    m.phone.tap_id("keep");
    CHECK(m.answer(sync::path_change_key, 200, R"({"v":1,"set_aside":0,"counted":7})") ==
          R"({"v":1,"id":2,"name":"shed \"2\"","person":"","role":"lead"})");
    CHECK(m.phone.app.session().toast->key == "toast.phone_counted");
    CHECK(m.phone.app.session().toast->value == "7");
  }

  TEST_CASE("what a phone brought since a day is taken out of the numbers, and put back") {
    ManagersPhone m;
    m.answer(sync::path_keys, 200, two_keys);
    m.phone.tap_id("phone/2");
    m.phone.type(words("phone.sweep_since"), "2026-02-03");
    m.phone.tap_id("sweep");
    m.phone.tap_id("sweep/yes");
    const std::int64_t offset_ms =
        m.phone.app.season().time_zone().offset_minutes(1770076800000) * std::int64_t{60000};
    CHECK(m.answer(sync::path_change_key, 200, R"({"v":1,"set_aside":9,"counted":0})") ==
          R"({"v":1,"id":2,"set_aside_since_ms":)" + std::to_string(1770076800000 - offset_ms) + "}");
    CHECK(m.phone.app.session().toast->key == "toast.phone_swept");
    m.answer(sync::path_keys, 200, two_keys);
    m.phone.tap_id("count_again");
    CHECK(m.answer(sync::path_change_key, 200, R"({"v":1,"set_aside":0,"counted":9})") ==
          R"({"v":1,"id":2,"count_again":true})");
  }

  TEST_CASE("a code for the next phone comes from the manager's phone, with its role") {
    ManagersPhone m;
    m.answer(sync::path_keys, 200, two_keys);
    m.phone.tap_id("code");
    CHECK(m.phone.tap(words("role.lead")));
    m.phone.type(words("phone.code_name"), "shed tablet");
    m.phone.tap_id("make");
    CHECK(m.answer(sync::path_code, 200, R"({"v":1,"code":"ABCDE-FGHJK","minutes":10})") ==
          R"({"v":1,"role":"lead","person":"","name":"shed tablet"})");
    CHECK(m.phone.app.session().phones.code == "ABCDE-FGHJK");
    m.platform.now_ms += 11 * 60000;  // it works no more, and is shown no more
    m.phone.look();
    CHECK(m.phone.find(words("phone.code_make")));
  }

  TEST_CASE("a hub that refuses, or is not there, is told; nothing changes") {
    ManagersPhone m;
    SUBCASE("another role") {
      m.answer(sync::path_keys, 403, sync::write_error({"not_manager", "x", ""}));
      CHECK(m.phone.find(words("phones.not_manager")));
    }
    SUBCASE("no network") {
      m.answer(sync::path_keys, 0, "");
      CHECK(m.phone.find(words("phones.no_answer")));
    }
    SUBCASE("a page of a captive portal") {
      m.answer(sync::path_keys, 200, "<html>welcome to the motel");
      CHECK(m.phone.find(words("phones.no_answer")));
    }
    SUBCASE("fields that are none") {
      m.answer(sync::path_keys, 200, R"({"v":1,"keys":[7,{"id":"x","role":9}],"asking":"z"})");
      CHECK(m.phone.app.session().phones.list.size() == 1);
    }
    CHECK(m.phone.here() == ScreenId::phones);
  }

  TEST_CASE("a phone without a hub, and the demo, ask nobody") {
    PlatformNative platform;
    Phone phone(platform);
    start_farm(phone);
    phone.tap_id("farm");
    phone.tap_id("phones");
    CHECK(platform.requests.empty());
    CHECK(phone.find(words("phones.alone")));
  }
}
