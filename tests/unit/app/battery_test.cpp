// SPDX-License-Identifier: Apache-2.0
//
// What an hour costs the battery, counted: how often the phone is woken, how often its radio, how
// long its screen is kept on. Three ways to spend it: without a hub, counting, and in a pocket.
#include <doctest/doctest.h>

#include "support/sync_driver.h"
#include "unit/app/phone.h"

using namespace nthtree;
using namespace nthtree::app;

namespace {

constexpr int seconds_an_hour = 3600;
constexpr std::int64_t burst_ms = 2000;  // requests closer than this keep the radio awake once

struct Spent {
  int wakes = 0, requests = 0, bursts = 0;
  int seconds_awake = 0;  // of the screen lock
};

// A phone whose hub answers at once, second by second.
struct Hour {
  Phone& phone;
  test::HubOfTest& hub;
  Spent spent;
  std::int64_t last_request_ms = -burst_ms;

  void serve() {
    for (int rounds = 0; rounds < 20 && !phone.platform.requests.empty(); ++rounds) {
      const std::int64_t now_ms = phone.platform.now_ms;
      if (now_ms - last_request_ms >= burst_ms) ++spent.bursts;
      last_request_ms = now_ms;
      for (const auto& request : std::exchange(phone.platform.requests, {})) {
        ++spent.requests;
        const auto reply = hub.answer(request.path, request.body, request.bearer);
        phone.app.on_http_done(request.id, reply.status, reply.body);
      }
      phone.platform.deliver();
    }
  }
  // `each_second` plays the person.
  template <typename EachSecond>
  Spent pass(EachSecond&& each_second) {
    const int wakes_before = phone.platform.wakes;
    for (int second = 0; second < seconds_an_hour; ++second) {
      phone.platform.advance(1000);
      serve();
      each_second(second);
      serve();
      spent.seconds_awake += phone.platform.awake;
    }
    spent.wakes = phone.platform.wakes - wakes_before;
    return spent;
  }
};

void join(Phone& phone, Hour& hour) {
  for (const char* id : {"settings", "sync", "join"}) phone.tap_id(id);
  phone.type(words("join.code"), "7KQ2M-0XWGT");
  CHECK(phone.tap(words("join.go")));
  hour.serve();
  phone.look();
  CHECK(phone.app.session().sync.joined);
}

// A pruner of the season on the disk, at home.
void open_home(Phone& phone) {
  for (const auto& [id, person] : phone.app.season().people()) {
    if (person.role != orchard::Role::pruner) continue;
    CHECK(phone.tap(person.name));
    break;
  }
  if (phone.here() == ScreenId::choose_block) {
    CHECK(phone.tap(phone.app.season().blocks().begin()->second.block->name));
  }
}

// At home, and of the farm's hub.
void join_from_home(Phone& phone, Hour& hour) {
  open_home(phone);
  join(phone, hour);
  for (const char* id : {"back", "back"}) phone.tap_id(id);
  REQUIRE(phone.here() == ScreenId::home);
}

void tell(const std::string& what, const Spent& spent) {
  MESSAGE(what << ": " << spent.wakes << " wakes, " << spent.requests << " requests in "
               << spent.bursts << " bursts, " << spent.seconds_awake << " s kept awake");
}

}  // namespace

TEST_SUITE("shell: battery") {
  TEST_CASE("an hour without a hub wakes the phone not once") {
    PlatformNative platform;
    Phone phone(platform);
    test::HubOfTest hub;
    start_farm(phone);
    platform.advance(60000);  // the notice that the farm has begun goes
    phone.look();
    Hour hour{phone, hub};
    const Spent spent = hour.pass([](int) {});
    tell("without a hub", spent);
    CHECK(spent.wakes == 0);
    CHECK(spent.requests == 0);
    CHECK(spent.seconds_awake == 0);
  }

  TEST_CASE("a phone in a pocket asked the hub for news every twenty seconds all day") {
    PlatformNative platform;
    Phone phone(platform);
    test::HubOfTest hub;
    start_farm(phone);
    Hour hour{phone, hub};
    join(phone, hour);
    hour.spent = {};
    phone.app.on_visible(false);
    const Spent spent = hour.pass([](int) {});
    tell("in a pocket", spent);
    CHECK(spent.wakes <= 1);  // what was asked for before it was hidden
    CHECK(spent.requests == 0);
    CHECK(spent.seconds_awake == 0);
    SUBCASE("and asks as soon as somebody looks") {
      phone.app.on_visible(true);
      CHECK_FALSE(platform.requests.empty());
    }
  }

  TEST_CASE("what a phone in a pocket has not sent yet is tried on until the hub has it") {
    PlatformNative platform;
    put_season(platform);
    Phone phone(platform);
    test::HubOfTest hub;
    Hour hour{phone, hub};
    join_from_home(phone, hour);
    hub.refuse_status = 503;
    phone.tap_id("count");
    phone.tap_id("pad", 40);
    phone.save_count();
    hour.serve();
    CHECK(phone.app.session().sync.unsent > 0);
    phone.app.on_visible(false);
    hour.spent = {};
    const Spent spent = hour.pass([&](int second) {
      if (second == seconds_an_hour / 2) hub.refuse_status = 0;
    });
    tell("unsent in a pocket", spent);
    CHECK(phone.app.session().sync.unsent == 0);
    CHECK(spent.bursts <= 40);  // sending and fetching, pauses between tries up to five minutes
  }

  TEST_CASE("an hour of counting: the screen is kept on while counting alone") {
    PlatformNative platform;
    put_season(platform);
    Phone phone(platform);
    test::HubOfTest hub;
    Hour hour{phone, hub};
    join_from_home(phone, hour);
    hour.spent = {};
    const std::size_t records_before = platform.records.size();
    const Spent spent = hour.pass([&](int second) {
      switch (second % 120) {  // a tree every two minutes, half of them with the pad open
        case 0: return phone.tap_id("count");
        case 30: return phone.tap_id("pad", 40);
        case 60:
          phone.save_count();
          return phone.tap_id("next");
        default: return;
      }
    });
    tell("counting", spent);
    CHECK(platform.records.size() == records_before + 30);
    CHECK(spent.seconds_awake == 30 * 60);
    CHECK(spent.wakes <= 400);
    CHECK(spent.bursts <= 190);  // news every 20 s; a saved count goes along
  }
}
