// SPDX-License-Identifier: Apache-2.0
//
// A start while the season is still being read: who takes the phone is asked at once, from a copy
// of the people, and nothing else is shown or written before all is read.
#include <doctest/doctest.h>

#include <algorithm>
#include <optional>

#include "app/people_copy.h"
#include "unit/app/phone.h"

using namespace nthtree;
using namespace nthtree::app;

namespace {

// The demo farm's own records on a phone that was started once, so that the copy is there.
struct LargeFarm {
  PlatformNative platform;
  std::optional<Phone> phone;

  LargeFarm() {
    put_season(platform);
    REQUIRE(platform.records.size() >= people_copy_records);
    start();
    REQUIRE(platform.meta.count(people_copy_name) == 1);
  }
  void start() {
    phone.emplace(platform);
    platform.deliver();
    phone->look();
  }
  void start_and_rest() {
    platform.load_rests = true;
    start();
  }
  void read_rest() {
    platform.read_rest();
    phone->look();
    platform.deliver();
  }
  bool has(std::string_view label) { return phone->find(label) != nullptr; }
  std::string name(const std::string& id) { return phone->app.season().person(id)->name; }
  const std::string& holder() const { return phone->app.session().person; }

  // A settings record that this phone has not written, the latest of all.
  void put_person(const std::string& id, const std::string& name, bool active) {
    const std::string device = "0123456789abcdef0123456789abcdef";
    const std::int64_t n = ++last_;
    platform.records[{device, n}] =
        R"({"v":1,"id":")" + device + "-" + std::to_string(n) + R"(","at_ms":17699999999)" +
        std::to_string(10 + n) + R"(,"tick":0,"clock_ms":1769999999900,"author":"m1",)" +
        R"("kind":"person","body":{"person":")" + id + R"(","name":")" + name +
        R"(","role":"pruner","active":)" + (active ? "true" : "false") + "}}";
  }

 private:
  std::int64_t last_ = 0;
};

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("who are you is asked while the season is read, and nothing is shown of a part of it") {
    LargeFarm farm;
    const auto people = farm.phone->app.season().people();
    const auto fingerprint = farm.phone->app.season().fingerprint();
    farm.start_and_rest();
    CHECK(farm.phone->here() == ScreenId::who);
    CHECK(farm.phone->app.season().people() == people);
    CHECK(farm.phone->app.season().blocks().empty());
    CHECK(farm.has(words("opening.title")));
    CHECK_FALSE(farm.has(words("who.add")));

    const int writes = farm.platform.writes;
    REQUIRE(farm.phone->tap(farm.name("p1")));
    CHECK(farm.phone->here() == ScreenId::opening);
    const screens::Session& session = farm.phone->app.session();
    CHECK(session.records_read > 0);
    CHECK(session.records_there == static_cast<std::int64_t>(farm.platform.records.size()));
    CHECK(farm.has(widgets::tr("opening.of",
                               {{"n", widgets::number(session.records_read)},
                                {"total", widgets::number(session.records_there)}})));
    CHECK(farm.platform.writes == writes);

    farm.read_rest();
    CHECK(farm.phone->app.season().fingerprint() == fingerprint);
    CHECK(farm.holder() == "p1");
    CHECK(farm.phone->here() == ScreenId::choose_block);
    farm.platform.load_rests = false;
    farm.start();
    CHECK(farm.holder() == "p1");  // kept when all was read
  }

  TEST_CASE("without a name chosen the list stays, now from the whole season") {
    LargeFarm farm;
    farm.start_and_rest();
    farm.read_rest();
    CHECK(farm.phone->here() == ScreenId::who);
    CHECK_FALSE(farm.has(words("opening.title")));
    REQUIRE(farm.phone->tap(farm.name("p1")));
    CHECK(farm.phone->here() == ScreenId::choose_block);
  }

  TEST_CASE("whoever held the phone goes on when all is read, and not before") {
    LargeFarm farm;
    REQUIRE(farm.phone->tap(farm.name("p1")));
    farm.phone->tap_id("block/b1");
    farm.start_and_rest();
    CHECK(farm.phone->here() == ScreenId::opening);
    farm.read_rest();
    CHECK(farm.phone->here() == ScreenId::home);
    CHECK(farm.phone->app.session().block == "b1");
  }

  TEST_CASE("a name chosen from a list that was behind: nobody goes on as one who has left") {
    LargeFarm farm;
    farm.put_person("p1", "Whoever", false);
    farm.start_and_rest();
    REQUIRE(farm.phone->tap(farm.name("p1")));
    CHECK(farm.phone->here() == ScreenId::opening);
    farm.read_rest();
    CHECK(farm.phone->here() == ScreenId::who);
    CHECK(farm.holder().empty());
    REQUIRE(farm.phone->app.session().toast);
    CHECK(farm.phone->app.session().toast->key == "toast.not_listed");
    farm.start_and_rest();
    CHECK_FALSE(farm.phone->app.season().person("p1")->active);  // the copy was made anew
  }

  TEST_CASE("somebody renamed since the copy goes on under the new name") {
    LargeFarm farm;
    farm.put_person("p1", "Newly Named", true);
    farm.start_and_rest();
    CHECK_FALSE(farm.has("Newly Named"));
    REQUIRE(farm.phone->tap(farm.name("p1")));
    farm.read_rest();
    CHECK(farm.holder() == "p1");
    CHECK(farm.name("p1") == "Newly Named");
  }

  TEST_CASE("a damaged copy is thrown away: the start is the one without it") {
    LargeFarm farm;
    std::string& copy = farm.platform.meta[people_copy_name];
    copy[copy.size() / 2] ^= 1;
    const std::string damaged = copy;
    farm.start_and_rest();
    CHECK(farm.phone->here() == ScreenId::opening);
    CHECK(farm.phone->app.season().people().empty());
    farm.read_rest();
    CHECK(farm.phone->here() == ScreenId::who);
    CHECK(farm.platform.meta[people_copy_name] != damaged);
  }

  TEST_CASE("a tab killed while it read leaves what was there") {
    LargeFarm farm;
    const auto meta = farm.platform.meta;
    farm.start_and_rest();
    REQUIRE(farm.phone->tap(farm.name("p1")));
    farm.platform.deliver();
    CHECK(farm.platform.meta == meta);
    farm.start_and_rest();
    CHECK(farm.phone->here() == ScreenId::who);
  }

  TEST_CASE("a load that fails while a name was chosen is told, and the next one goes on") {
    LargeFarm farm;
    farm.start_and_rest();
    REQUIRE(farm.phone->tap(farm.name("p1")));
    farm.phone->app.on_store_load_failed("closed");
    farm.phone->look();
    CHECK(farm.phone->here() == ScreenId::opening);
    CHECK(farm.has(words("opening.again")));
    farm.platform.load_rests = false;
    farm.platform.advance(5000);
    farm.phone->look();
    CHECK(farm.phone->here() == ScreenId::choose_block);
    CHECK(farm.holder() == "p1");
    CHECK(farm.phone->app.season().records() == farm.platform.records.size());
    CHECK_FALSE(farm.phone->app.session().reading);
  }

  TEST_CASE("a PIN is asked for and counted while the season is read") {
    LargeFarm farm;
    farm.phone->tap_id("person/l1");
    if (farm.phone->here() == ScreenId::choose_block) farm.phone->tap_id("block/b1");
    const auto type = [&](std::string_view digits, const char* then) {
      for (const char digit : digits) farm.phone->tap_id(std::string("pin/") + digit);
      farm.phone->tap_id(then);
      farm.platform.deliver();
      farm.phone->look();
    };
    farm.phone->tap_id("settings");
    farm.phone->tap_id("pin");
    type("4711", "next");
    type("4711", "next");
    REQUIRE(farm.platform.meta.count("locks") == 1);

    farm.start_and_rest();
    CHECK(farm.phone->here() == ScreenId::unlock);
    const std::string before = farm.platform.meta["locks"];
    type("1111", "open");
    CHECK(farm.phone->app.session().locks.wrong);
    CHECK(farm.platform.meta["locks"] != before);  // a try is used up, whatever becomes of the tab
    CHECK_FALSE(farm.has(words("sync.join")));
    SUBCASE("right before all is read") {
      type("4711", "open");
      CHECK(farm.phone->here() == ScreenId::opening);
      farm.read_rest();
      CHECK(farm.holder() == "l1");
      CHECK(farm.phone->here() == ScreenId::home);
    }
    SUBCASE("and when all is read the keypad stands as it stood") {
      farm.phone->tap_id("pin/4");
      farm.read_rest();
      CHECK(farm.phone->here() == ScreenId::unlock);
      CHECK(farm.has(words("sync.join")));
      type("711", "open");
      CHECK(farm.holder() == "l1");
    }
  }

  TEST_CASE("somebody added is on the list of the next start at once") {
    LargeFarm farm;
    farm.phone->tap_id("person/m1");
    farm.phone->tap_id("farm");
    farm.phone->tap_id("add_person");
    farm.phone->type(words("edit.name"), "Newest Hand");
    farm.phone->tap_id("keep");
    farm.platform.deliver();
    const auto people = farm.phone->app.season().people();
    farm.start_and_rest();
    CHECK(farm.phone->app.season().people() == people);
    CHECK(std::any_of(people.begin(), people.end(),
                      [](const auto& entry) { return entry.second.name == "Newest Hand"; }));
  }
}
