// SPDX-License-Identifier: Apache-2.0
//
// A PIN for lead and manager on a phone that several use: set, asked for at each start, after a
// change of person and after a while untouched; wrong tries slow down, over a restart too; forgotten
// ones are opened by a manager or by a code. The stretching itself is the browser's
// (browser/lock.test.mjs).
#include "app/lock.h"

#include <doctest/doctest.h>

#include <optional>

#include "support/sync_driver.h"
#include "unit/app/phone.h"

using namespace nthtree;
using namespace nthtree::app;

namespace {

// The demo farm's own records, with its lead holding the phone.
struct SharedPhone {
  PlatformNative platform;
  std::optional<Phone> phone;

  SharedPhone() {
    put_season(platform);
    start();
    become("l1");
  }
  void start() {
    phone.emplace(platform);
    platform.deliver();
    phone->look();
  }
  void become(const std::string& person) {
    if (phone->here() != ScreenId::who) phone->tap_id("person");
    phone->tap_id("person/" + person);
    if (phone->here() == ScreenId::choose_block) phone->tap_id("block/b1");
  }
  void type_pin(std::string_view digits) {
    for (const char digit : digits) phone->tap_id(std::string("pin/") + digit);
  }
  void set_pin(std::string_view digits) {
    phone->tap_id("settings");
    phone->tap_id("pin");
    for (int twice = 0; twice < 2; ++twice) {
      type_pin(digits);
      phone->tap_id("next");
    }
    platform.deliver();
    phone->look();
  }
  void try_pin(std::string_view digits) {
    type_pin(digits);
    phone->tap_id("open");
    platform.deliver();
    phone->look();
  }
  const std::string& holder() const { return phone->app.session().person; }
  bool may_open() {
    for (const widgets::Control& control : phone->app.ui().controls()) {
      if (control.id == "open") return control.enabled;
    }
    return false;
  }
};

}  // namespace

TEST_SUITE("app: locks") {
  TEST_CASE("anybody took the lead's name on a shared phone") {
    SharedPhone shared;
    shared.set_pin("2580");
    CHECK(shared.phone->app.session().locks.has("l1"));
    CHECK(shared.platform.meta["locks"].find("2580") == std::string::npos);
    shared.become("p3");
    shared.become("l1");
    CHECK(shared.phone->here() == ScreenId::unlock);
    CHECK(shared.holder() == "p3");
    shared.try_pin("2581");
    CHECK(shared.holder() == "p3");
    CHECK(shared.phone->find(words("unlock.wrong")));
    shared.try_pin("2580");
    CHECK(shared.holder() == "l1");
    CHECK(shared.phone->here() == ScreenId::home);
    CHECK(shared.platform.meta["memory"].find("\"l1\"") != std::string::npos);
  }

  TEST_CASE("a lead who left the phone at the list of names left it open in their own") {
    SharedPhone shared;
    shared.set_pin("2580");
    shared.become("l1");
    CHECK(shared.phone->here() == ScreenId::unlock);
    shared.try_pin("2580");
    CHECK(shared.holder() == "l1");
    CHECK(shared.phone->here() == ScreenId::home);
  }

  TEST_CASE("the app opened again in the lead's name without a question") {
    SharedPhone shared;
    shared.set_pin("2580");
    shared.start();
    CHECK(shared.holder().empty());
    CHECK(shared.phone->here() == ScreenId::unlock);
    shared.phone->app.on_back();
    shared.phone->look();
    CHECK(shared.phone->here() == ScreenId::who);
    shared.become("p3");
    CHECK(shared.holder() == "p3");  // whoever has no lock counts at once
  }

  TEST_CASE("what the lead had half counted waits behind the lock, and comes back") {
    SharedPhone shared;
    shared.set_pin("2580");
    shared.phone->app.on_back();
    shared.phone->app.on_back();
    shared.phone->look();
    shared.phone->tap_id("count_own");
    shared.phone->tap_id("pad", 7);
    shared.start();
    CHECK(shared.phone->here() == ScreenId::unlock);
    shared.try_pin("2580");
    REQUIRE(shared.phone->app.session().drafts.count);
    CHECK(shared.phone->app.session().drafts.count->spurs() == 7);
  }

  TEST_CASE("a phone laid down stayed open in the lead's name all day") {
    SharedPhone shared;
    shared.set_pin("2580");
    shared.platform.now_ms += idle_lock_ms - 1000;
    shared.phone->look();
    CHECK(shared.holder() == "l1");
    shared.platform.now_ms += 2000;
    shared.phone->look();
    CHECK(shared.holder().empty());
    CHECK(shared.phone->here() == ScreenId::unlock);
  }

  TEST_CASE("wrong tries slow down, also over a restart and a clock that is set back") {
    SharedPhone shared;
    shared.set_pin("2580");
    shared.start();
    for (int i = 0; i < tries_free; ++i) shared.try_pin("1111");
    shared.type_pin("2580");
    CHECK_FALSE(shared.may_open());
    shared.start();
    shared.type_pin("2580");
    shared.phone->tap_id("open");  // not before its time, whatever the screen shows
    shared.platform.deliver();
    shared.phone->look();
    CHECK(shared.holder().empty());
    shared.platform.now_ms -= 3600000;
    shared.try_pin("2580");
    CHECK(shared.holder().empty());
    shared.platform.now_ms += wait_first_ms + 1000;
    shared.phone->look();
    shared.try_pin("2580");
    CHECK(shared.holder() == "l1");
    shared.start();
    shared.try_pin("2580");  // a right one takes the wait away
    CHECK(shared.holder() == "l1");
  }

  TEST_CASE("a slip of a glove set a PIN that nobody knew") {
    SharedPhone shared;
    shared.phone->tap_id("settings");
    shared.phone->tap_id("pin");
    shared.type_pin("2580");
    shared.phone->tap_id("next");
    shared.type_pin("2589");
    shared.phone->tap_id("next");
    CHECK(shared.phone->find(words("pin.differs")));
    CHECK(shared.platform.meta.count("locks") == 0);
  }

  TEST_CASE("a PIN is taken away by whoever knows it, and by nobody else who borrows the phone") {
    SharedPhone shared;
    shared.set_pin("2580");
    CHECK(shared.phone->here() == ScreenId::unlock);
    shared.type_pin("1111");
    shared.phone->tap_id("drop");
    shared.platform.deliver();
    shared.phone->look();
    CHECK(shared.phone->app.session().locks.has("l1"));
    shared.type_pin("2580");
    shared.phone->tap_id("drop");
    shared.platform.deliver();
    shared.phone->look();
    CHECK_FALSE(shared.phone->app.session().locks.has("l1"));
    CHECK(shared.platform.meta["locks"].empty());
  }

  TEST_CASE("a forgotten PIN: the manager takes it away on the same phone") {
    SharedPhone shared;
    shared.set_pin("2580");
    shared.become("m1");
    shared.phone->tap_id("farm");
    shared.phone->tap_id("person/l1");
    shared.phone->tap_id("forget_pin");
    shared.become("l1");
    CHECK(shared.holder() == "l1");
  }

  TEST_CASE("a forgotten PIN: a code for that role opens it, and a pruner's code does not") {
    for (const auto role : {orchard::Role::pruner, orchard::Role::lead}) {
      SharedPhone shared;
      shared.set_pin("2580");
      shared.start();
      shared.phone->tap_id("join");
      shared.phone->type(words("join.code"), "7KQ2M-0XWGT");
      shared.phone->tap_id("go");
      REQUIRE_FALSE(shared.platform.requests.empty());
      const auto request = std::exchange(shared.platform.requests, {}).front();
      shared.phone->app.on_http_done(request.id, 200, sync::write(sync::JoinReply{"key", role}));
      shared.platform.deliver();
      shared.phone->look();
      CHECK(shared.phone->app.session().locks.has("l1") == (role == orchard::Role::pruner));
    }
  }

  TEST_CASE("the phone's own lock opens too, where its owner wants that") {
    SharedPhone shared;
    shared.platform.phone_lock_opens = true;
    shared.set_pin("2580");
    shared.phone->tap_id("phone_lock");
    shared.platform.deliver();
    shared.phone->look();
    CHECK(shared.phone->app.session().locks.phones.count("l1") == 1);
    shared.start();
    shared.platform.phone_lock_opens = false;  // another finger
    shared.phone->tap_id("by_phone");
    shared.platform.deliver();
    shared.phone->look();
    CHECK(shared.holder().empty());
    shared.platform.phone_lock_opens = true;
    shared.phone->tap_id("by_phone");
    shared.platform.deliver();
    shared.phone->look();
    CHECK(shared.holder() == "l1");
  }

  TEST_CASE("a browser that cannot keep a PIN says so, and sets none") {
    SharedPhone shared;
    shared.platform.has_web_crypto = false;
    shared.set_pin("2580");
    CHECK(shared.phone->find(words("pin.unusable")));
    CHECK_FALSE(shared.phone->app.session().locks.has("l1"));
  }

  TEST_CASE("locks that cannot be read lock nobody out") {
    PlatformNative platform;
    put_season(platform);
    platform.meta["locks"] = R"([["l1","00"],[7],{},"x",["p1","a","b",1,"",0,0,"c"]])";
    Phone phone(platform);
    CHECK(phone.app.session().locks.pins.empty());
  }
}
