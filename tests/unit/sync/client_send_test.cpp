// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "support/sync_driver.h"

namespace nthtree::sync {
namespace {

using test::HubOfTest;
using test::device_drawn;
using test::phone_a;
using test::phone_b;
using test::PhoneOfTest;
using test::record_of;
using test::tag;
using Kind = Notice::Kind;

// A phone without a network asks at last; what else goes out is never answered either.
Send unanswered_hello(PhoneOfTest& phone) {
  const auto hello = [&] {
    return std::find_if(phone.sent.begin(), phone.sent.end(),
                        [](const Send& send) { return send.path == path_hello; });
  };
  for (int second = 0; second < 600 && hello() == phone.sent.end(); ++second) {
    phone.sent.clear();
    phone.wait(1000);
  }
  REQUIRE(hello() != phone.sent.end());
  return *hello();
}

TEST_SUITE("sync") {

TEST_CASE("a hub set back to an old backup is filled again") {
  HubOfTest hub;
  PhoneOfTest a(&hub, phone_a), b(&hub, phone_b);
  a.join();
  b.join();
  for (int i = 0; i < 3; ++i) a.count(i);
  auto backup = hub.store.content();
  for (int i = 0; i < 5; ++i) a.count(10 + i);
  b.count(99);
  b.wait(60000);
  a.wait(60000);
  const auto before = a.disk;
  REQUIRE(before.size() == 9);

  SUBCASE("with its restore command") { backup.epoch = "epoch 2"; }
  SUBCASE("by hand, without telling anybody") {}
  hub.store.replace(backup);
  hub.store.note_opening("next");
  REQUIRE(hub.side.open().ok());
  SUBCASE("by the phone that wrote the records") {}
  SUBCASE("by another phone, because that one is lost") { a.hub = nullptr; }
  for (int i = 0; i < 3; ++i) {
    b.wait(60000);
    a.wait(60000);
  }
  CHECK(hub.side.records() == 9);
  CHECK(b.disk == before);
  CHECK(b.told(Kind::cloned) == 0);
}

TEST_CASE("a phone was never told that its hub came back from a backup, or was told at every hello") {
  HubOfTest hub;
  PhoneOfTest a(&hub, phone_a), b(&hub, phone_b);
  a.join();
  b.join();
  a.count(1);
  a.wait(60000);
  auto backup = hub.store.content();
  a.count(2);
  a.wait(120000);
  b.wait(120000);
  CHECK(a.told(Kind::hub_set_back) + b.told(Kind::hub_set_back) == 0);  // nothing happened yet
  backup.epoch = "epoch 2";
  hub.store.replace(backup);
  hub.store.note_opening("next");
  REQUIRE(hub.side.open().ok());
  for (int i = 0; i < 5; ++i) {
    b.wait(60000);
    a.wait(60000);
  }
  CHECK(hub.side.records() == 2);
  CHECK(a.told(Kind::hub_set_back) == 1);
  CHECK(b.told(Kind::hub_set_back) == 1);
}

TEST_CASE("a phone with other records under the same key takes a new key, and all stay") {
  HubOfTest hub;
  PhoneOfTest a(&hub), clone(&hub, phone_b);
  a.join();
  a.count(1);
  a.wait(30000);
  clone.start_from(a);
  REQUIRE(clone.client->device() == device_drawn(phone_a));
  clone.hub = nullptr;
  clone.count(20);
  clone.count(21);
  a.count(10);
  clone.hub = &hub;
  for (int i = 0; i < 4; ++i) {
    clone.wait(60000);
    a.wait(60000);
  }
  CHECK(clone.told(Kind::cloned) == 1);
  CHECK(clone.client->device() != device_drawn(phone_a));
  CHECK(a.disk == clone.disk);
  CHECK(a.disk.size() == 4);  // 1, 10, 20, 21: each once
  clone.count(22);
  clone.wait(60000);
  a.wait(60000);
  CHECK(a.disk == clone.disk);
  CHECK(a.disk.size() == 5);
}

TEST_CASE("a phone set back to yesterday notices that it had written more") {
  HubOfTest hub;
  PhoneOfTest a(&hub), yesterday(&hub, phone_b);
  a.join();
  a.count(1);
  a.wait(30000);
  PhoneOfTest kept(nullptr, phone_b);
  kept.disk = a.disk;
  kept.state = a.state;
  a.count(2);
  a.count(3);
  yesterday.start_from(kept);
  yesterday.wait(30000);
  CHECK(yesterday.told(Kind::cloned) == 1);
  CHECK(yesterday.disk.size() == 3);
  yesterday.count(4);
  CHECK(hub.side.records() == 4);
}

TEST_CASE("a count made while a hello is on its way goes as soon as that is answered") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.join();
  phone.hub = nullptr;
  const Send asked = unanswered_hello(phone);
  const auto record = phone.count(7);
  phone.hub = &hub;
  const auto reply = hub.answer(asked.path, asked.body, asked.bearer);
  phone.client->response(asked.request, reply.status, reply.body, phone.now);
  phone.run();
  CHECK(hub.store.bytes(record.id) == record.bytes);
}

TEST_CASE("an answer to the key of before tells nothing of the new key's records") {
  HubOfTest hub;
  PhoneOfTest a(&hub), clone(nullptr, phone_b);
  a.join();
  a.count(1);
  a.wait(30000);
  clone.start_from(a);
  const auto by_clone = clone.count(20);
  a.hub = nullptr;
  const Send asked = unanswered_hello(a);
  const ledger::DeviceKey before = a.client->device();
  a.client->import(by_clone.bytes + "\n", a.now);  // its own key, a number that it never wrote
  a.run();
  REQUIRE(a.client->device() != before);
  const auto reply = hub.answer(asked.path, asked.body, asked.bearer);
  a.client->response(asked.request, reply.status, reply.body, a.now);
  CHECK(a.client->status().own_head == 0);
}

TEST_CASE("more records than fit a batch go in several") {
  HubOfTest hub;
  PhoneOfTest phone(nullptr);
  for (int i = 0; i < 450; ++i) phone.count(i);
  phone.hub = &hub;
  phone.join();
  phone.wait(1000);
  CHECK(hub.side.records() == 450);
  CHECK(std::count(hub.paths.begin(), hub.paths.end(), path_push) == 3);
}

TEST_CASE("a record that the hub refuses to take apart does not hold up the others") {
  HubOfTest hub;
  PhoneOfTest phone(nullptr);
  for (int i = 0; i < 40; ++i) phone.count(i);
  phone.hub = &hub;
  phone.join();
  phone.hub = nullptr;
  phone.count(40);
  // A hub that answers 400 to every batch with the 17th record in it.
  const ledger::RecordId bad{device_drawn(phone_a), 41};
  for (int rounds = 0; rounds < 100; ++rounds) {
    while (!phone.sent.empty()) {
      const Send send = phone.sent.front();
      phone.sent.pop_front();
      const auto envelope = read_envelope(send.body);
      bool is_refused = false;
      if (send.path == path_push) {
        const auto push = read_push_request(*envelope);
        for (const auto& id : push->ids) is_refused |= id == bad;
      }
      const HubReply reply = is_refused ? HubReply{400, write_error({"bad_message", "", ""})}
                                        : hub.answer(send.path, send.body);
      phone.client->response(send.request, reply.status, reply.body, phone.now);
      phone.run();
    }
    phone.wait(1500);
  }
  CHECK(phone.told(Kind::set_aside_at_hub) == 1);
  CHECK(phone.client->status().unsent == 0);
  phone.hub = &hub;
  phone.count(41);
  phone.wait(120000);
  CHECK(hub.store.bytes({device_drawn(phone_a), 42}));
}

TEST_CASE("what clashes with the hub's hearsay was forgotten when its push failed") {
  HubOfTest hub;
  PhoneOfTest a(&hub, phone_a), b(&hub, phone_b);
  a.join();
  b.join();
  const ledger::RecordId id{{7, 7}, 2};
  std::string unmovable = "{\"v\":1,\"id\":\"" + id.text() + "\",\"x\":\"";
  unmovable += std::string(kept_bytes_max - unmovable.size() - 10, 'x') + "\"}";
  b.client->import(unmovable, b.now);
  b.run();
  REQUIRE(hub.store.bytes(id) == unmovable);
  SUBCASE("the hub's came first") { a.wait(60000); }
  SUBCASE("the hub's comes later") {}
  int spurs = 1;
  ledger::Record counted = record_of(id.device, 2, 0, tag(1, 1, spurs));
  while (!keeps_id(counted.bytes, unmovable)) {
    counted = record_of(id.device, 2, 0, tag(1, 1, ++spurs));
  }
  hub.refuse_status = 503;
  a.client->import(counted.bytes, a.now);
  a.run();
  hub.refuse_path = path_push;
  for (int minutes = 0; minutes < 12; ++minutes) a.wait(60000);
  SUBCASE("and the phone goes on") {}
  SUBCASE("and the phone starts again") { a.start_from(a); }
  hub.refuse_status = 0;
  for (int minutes = 0; minutes < 12; ++minutes) a.wait(60000);
  CHECK(hub.store.bytes(id) == counted.bytes);
}

TEST_CASE("what the hub keeps apart went on counting here when its answer was lost") {
  HubOfTest hub;
  PhoneOfTest a(&hub, phone_a), b(&hub, phone_b);
  a.join();
  b.join();
  std::string scattered;
  for (std::uint64_t i = 1; i <= holes_max; ++i) {
    scattered += record_of({7, 7}, 2 * i, 0, tag(1, 1, 1)).bytes + '\n';
  }
  b.client->import(scattered, b.now);
  b.run();
  const auto beyond = record_of({7, 7}, 9000, 0, tag(1, 1, 1));
  a.hub = nullptr;
  a.client->import(beyond.bytes, a.now);
  a.run();
  REQUIRE(a.sent.size() == 1);
  CHECK(hub.answer(a.sent[0].path, a.sent[0].body, a.sent[0].bearer).status == 200);
  a.hub = &hub;
  for (int minutes = 0; minutes < 3; ++minutes) a.wait(60000);
  CHECK(a.client->standing_of(beyond.id).aside == aside_apart);
}

TEST_CASE("a full hub is told once, and tried again") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.join();
  hub.store.full = true;
  phone.count(1);
  phone.wait(60000);
  phone.wait(60000);
  CHECK(phone.told(Kind::hub_full) == 1);
  CHECK(phone.client->status().unsent == 1);
  hub.store.full = false;
  phone.wait(300000);
  CHECK(phone.client->status().unsent == 0);
}

TEST_CASE("a record whose message the network cut short was left out for ten minutes") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.join();
  hub.refuse_path = path_push;
  hub.refuse_status = 400;  // as to a message that ends too early
  phone.count(1);
  hub.refuse_status = 0;
  phone.wait(61000);
  phone.wait(1000);
  CHECK(phone.client->status().unsent == 0);
  CHECK(hub.side.records() == 1);
  CHECK(phone.told(Kind::set_aside_at_hub) == 0);
  SUBCASE("one that is refused again and again holds up nothing, and is told once") {
    hub.refuse_status = 400;
    phone.count(2);
    for (int minutes = 0; minutes < 30; ++minutes) phone.wait(61000);
    CHECK(phone.told(Kind::set_aside_at_hub) == 1);
    const auto asked = std::count(hub.paths.begin(), hub.paths.end(), path_push);
    CHECK(asked < 14);
    hub.refuse_status = 0;
    for (int minutes = 0; minutes < 12; ++minutes) phone.wait(61000);
    CHECK(hub.side.records() == 2);
  }
}

TEST_CASE("a full hub still gives what it has") {
  HubOfTest hub;
  PhoneOfTest a(&hub, phone_a), b(&hub, phone_b);
  a.join();
  b.join();
  a.count(1);
  hub.store.full = true;
  b.count(2);
  b.wait(60000);
  CHECK(b.disk.size() == 2);
}

TEST_CASE("a clock that is hours off is told, and orders nothing anew") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  const auto first = phone.count(1);
  phone.now.wall_ms -= 26 * 3600 * 1000;
  phone.join();
  REQUIRE(phone.told(Kind::clock_off) == 1);
  CHECK(phone.notices.back().number == -26 * 60);
  const auto second = phone.count(2);
  CHECK(second.stamp > first.stamp);
  CHECK(second.clock_ms < first.clock_ms);
  phone.wait(61000);
  phone.wait(61000);
  CHECK(phone.told(Kind::clock_off) == 1);
}

TEST_CASE("a clock a few minutes off is nobody's business") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.now.wall_ms += 4 * 60 * 1000;
  phone.join();
  CHECK(phone.told(Kind::clock_off) == 0);
}

TEST_CASE("what a backup holds is told with the next answer") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.join();
  phone.count(1);
  phone.count(2);
  auto content = hub.store.content();
  content.backed_up[device_drawn(phone_a)] = 1;
  hub.store.replace(content);
  REQUIRE(hub.side.open().ok());
  phone.count(3);
  CHECK(phone.client->status().own_head == 3);
  CHECK(phone.client->status().own_backed_up == 1);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
