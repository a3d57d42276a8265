// SPDX-License-Identifier: Apache-2.0
#include "sync/client.h"

#include "support/sync_driver.h"

namespace nthtree::sync {
namespace {

using test::HubOfTest;
using test::device_drawn;
using test::phone_a;
using test::phone_b;
using test::PhoneOfTest;
using Kind = Notice::Kind;

TEST_SUITE("sync") {

TEST_CASE("a phone that has not joined sends nothing") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.count(100);
  phone.wait(600000);
  CHECK(hub.paths.empty());
  CHECK(phone.client->status().unsent == 1);
  CHECK_FALSE(phone.client->status().joined);
}

TEST_CASE("a count reaches the hub as soon as it is on the phone's disk") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.join();
  const auto record = phone.count(100);
  CHECK(hub.store.bytes(record.id) == record.bytes);
  CHECK(phone.client->status().unsent == 0);
  CHECK(phone.client->status().own_head == 1);
}

TEST_CASE("nothing is sent before the phone's disk has it") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.join();
  const auto record = phone.client->write(test::tag(1, 1, 5), "p1", std::nullopt, phone.now.wall_ms);
  REQUIRE(record.ok());
  phone.wait(600000);
  CHECK_FALSE(hub.store.bytes(record->id));
  CHECK(phone.client->store().size() == 0);
}

TEST_CASE("sequence numbers have no gap, also while several records are being stored") {
  PhoneOfTest phone(nullptr);
  for (std::uint64_t i = 1; i <= 3; ++i) {
    const auto record = phone.client->write(test::tag(1, 1, 5), "p1", std::nullopt, 1);
    REQUIRE(record.ok());
    CHECK(record->id.sequence == i);
  }
  phone.client->local_failed({device_drawn(phone_a), 3}, phone.now);
  CHECK(phone.client->write(test::tag(1, 1, 5), "p1", std::nullopt, 1)->id.sequence == 3);
}

TEST_CASE("two phones see each other's counts and show the same") {
  HubOfTest hub;
  PhoneOfTest a(&hub, phone_a), b(&hub, phone_b);
  a.join();
  b.join();
  const auto x = a.count(100);
  const auto y = b.count(200);
  a.wait(30000);
  b.wait(30000);
  CHECK(a.disk == b.disk);
  CHECK(a.disk.size() == 2);
  REQUIRE(a.applied.size() == 1);
  CHECK(a.applied[0].id == y.id);
  CHECK(b.applied[0].id == x.id);
}

TEST_CASE("a phone that starts again goes on where it was") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.join();
  phone.count(100);
  phone.wait(30000);
  PhoneOfTest again(&hub, phone_b);
  again.start_from(phone);
  CHECK(again.client->device() == device_drawn(phone_a));
  CHECK(again.client->status().joined);
  CHECK(again.count(101).id == ledger::RecordId{device_drawn(phone_a), 2});
  CHECK(again.told(Kind::cloned) == 0);
}

TEST_CASE("the hub's key and having joined are one transaction") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.disk_full = true;
  phone.join();
  CHECK(phone.state.find("\"bearer\":\"key1\"") == std::string::npos);
  PhoneOfTest died(&hub, phone_b);
  died.start_from(phone);  // before the disk had it
  CHECK_FALSE(died.client->status().joined);
  CHECK(phone.joined == 0);
  phone.disk_full = false;
  phone.wait(5000);
  CHECK(phone.joined == 1);  // told once the disk has it, and once only
  PhoneOfTest again(&hub, phone_b);
  again.start_from(phone);
  CHECK(again.client->status().joined);
  const auto record = again.count(100);  // its requests bear the key, or the hub refuses them
  CHECK(hub.store.bytes(record.id) == record.bytes);
}

TEST_CASE("a key that came while something else was being stored is told after its own store") {
  HubOfTest hub;
  PhoneOfTest phone(nullptr);
  phone.client->join("c", "n", phone.now);
  phone.run();
  REQUIRE(phone.sent.size() == 1);
  const auto x = test::record_of(phone_b, 1, 5, test::tag(1, 1, 100));
  phone.client->import(x.bytes + "\n", phone.now);
  auto actions = phone.client->take_actions();
  REQUIRE(actions.size() == 1);
  const auto reply = hub.answer(phone.sent[0].path, phone.sent[0].body);
  phone.client->response(phone.sent[0].request, reply.status, reply.body, phone.now);
  for (const Action& action : phone.client->take_actions()) {
    CHECK_FALSE(std::holds_alternative<StoreChange>(action));  // one at a time
    CHECK_FALSE(std::holds_alternative<Joined>(action));
  }
  phone.client->store_done(std::get<StoreChange>(actions[0]).store, true, phone.now);
  const StoreChange* with_key = nullptr;
  actions = phone.client->take_actions();
  for (const Action& action : actions) {
    CHECK_FALSE(std::holds_alternative<Joined>(action));
    if (const auto* store = std::get_if<StoreChange>(&action)) with_key = store;
  }
  REQUIRE(with_key);
  CHECK(with_key->state.find("\"bearer\":\"key1\"") != std::string::npos);
  phone.client->store_done(with_key->store, true, phone.now);
  phone.run();
  CHECK(phone.joined == 1);
}

TEST_CASE("a damaged state is a new phone and not a crash") {
  for (const char* state : {"", "{", "[]", "{\"device\":7}", "{\"device\":\"xyz\"}", "null",
                            "{\"v\":1,\"device\":\"000000000000aaaa0000000000000001\",\"bearer\":1,"
                            "\"arrival\":-4,\"opening\":7}"}) {
    CAPTURE(state);
    Client client;
    client.load_state(state);
    client.start(phone_a, {});
    const bool is_drawn = client.device() == device_drawn(phone_a);
    CHECK((is_drawn || client.device() == phone_a));  // the last names a device
    CHECK_FALSE(client.status().joined);
  }
}

TEST_CASE("the state says of each record that is loaded after it how it stands; a second one anew") {
  PhoneOfTest phone(nullptr);
  const std::string device = phone_a.text();
  const auto loaded = [&](Client& client, int sequence) {
    ledger::Record record;
    record.id = {phone_a, static_cast<std::uint64_t>(sequence)};
    record.stamp = {sequence, 0};
    record.body = ledger::BeforeCount{"b1", {1, 1}, 5};
    auto read = client.load_record(ledger::write_record(record)->bytes);
    REQUIRE(read);
    CHECK(read->bytes.empty());
    return client.counts(*read) ? read->stamp.at_ms : -1;
  };
  Client client;
  client.load_state(R"({"device":"0000000000000000000000000000000b","hearsay":{")" + device +
                    R"(":"2-3"},"odd":{")" + device + R"(-1":["role",0],")" + device +
                    R"(-2":["",77]}})");
  CHECK(loaded(client, 1) == -1);
  CHECK(loaded(client, 2) == 77);
  CHECK(loaded(client, 3) == 3);
  CHECK(client.store().rank({phone_a, 1}) == Rank::owned);
  CHECK(client.store().rank({phone_a, 3}) == Rank::hearsay);
  CHECK(client.store().size() == 3);

  client.load_state("");
  CHECK(client.store().size() == 0);
  CHECK(loaded(client, 1) == 1);
  CHECK(client.store().rank({phone_a, 1}) == Rank::owned);
  client.start({9, 9}, {});
  CHECK(client.device() == device_drawn({9, 9}));
}

TEST_CASE("a packed thousand is loaded as its records one by one would be") {
  RecordStore packing;
  std::vector<std::string> lines;
  for (std::uint64_t s = 1; s <= 1000; ++s) {
    lines.push_back(test::record_of(phone_a, s, static_cast<int>(s), test::tag(1, 1, 5)).bytes);
    packing.put({phone_a, s}, lines.back());
  }
  const std::string state = R"({"hearsay":{")" + phone_a.text() + R"(":"2-3"}})";
  Client singly, packed;
  singly.load_state(state);
  packed.load_state(state);
  std::vector<ledger::Record> one_by_one, all;
  for (const std::string& line : lines) one_by_one.push_back(*singly.load_record(line));
  const auto load = [&](std::uint64_t first) {
    return packed.load_packed({phone_a, first, 1000, std::string(packing.packed(phone_a, 1))},
                              [&](base::Result<ledger::Record> record) {
                                REQUIRE(record);
                                all.push_back(std::move(*record));
                              });
  };
  CHECK_FALSE(load(1001));
  CHECK(all.empty());
  CHECK(load(1));
  REQUIRE(all.size() == 1000);
  for (std::size_t i = 0; i < 1000; ++i) CHECK(all[i].position() == one_by_one[i].position());
  for (Client* client : {&singly, &packed}) client->start({9, 9}, {all.back().stamp.at_ms, 0, 0});
  CHECK(packed.store().coverage() == singly.store().coverage());
  CHECK(packed.store().hearsay() == singly.store().hearsay());
  const auto after = [](Client& client) {
    return client.write(test::tag(1, 2, 6), "p1", std::nullopt, test::monday_ms)->stamp;
  };
  const ledger::Stamp next = after(packed);
  CHECK(next == after(singly));
  CHECK(next > all.back().stamp);
}

TEST_CASE("tries come after 1, 2, 4 … seconds and never later than five minutes") {
  PhoneOfTest phone(nullptr);
  HubOfTest hub;
  phone.hub = &hub;
  phone.join();
  phone.hub = nullptr;
  phone.count(100);
  phone.sent.clear();
  std::int64_t longest = 0;
  for (int i = 0; i < 14; ++i) {
    // No answer within the time-out counts as none.
    const std::int64_t wake = phone.client->next_wake_ms();
    REQUIRE(wake >= 0);
    longest = std::max(longest, wake - phone.now.elapsed_ms);
    phone.wait(std::max<std::int64_t>(0, wake - phone.now.elapsed_ms));
  }
  CHECK(longest <= 300000);
  for (int i = 0; i < 60; ++i) {
    phone.now.chance = 0x9e3779b97f4a7c15u * static_cast<std::uint64_t>(i);
    phone.wait(300000);
  }
  CHECK(phone.client->next_wake_ms() - phone.now.elapsed_ms <= 300000);
  SUBCASE("and when the network is back it is tried at once") {
    phone.hub = &hub;
    phone.wait(12001);  // the last try has timed out
    phone.client->network_back(phone.now);
    phone.run();
    CHECK(phone.client->status().unsent == 0);
  }
}

TEST_CASE("an answer that never comes is given up after the time-out") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.join();
  phone.hub = nullptr;
  phone.count(100);
  REQUIRE(phone.sent.size() == 1);
  const auto lost = phone.sent.front();
  phone.wait(13000);
  phone.hub = &hub;
  phone.wait(3000);
  CHECK(phone.client->status().unsent == 0);
  SUBCASE("and if it comes late, it is nobody's") {
    phone.client->response(lost.request, 200, sync::write(PushReply{"e", 0, 0, {}, {}}), phone.now);
    CHECK(phone.client->status().unsent == 0);
  }
}

TEST_CASE("a captive portal's page is no answer") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.join();
  phone.hub = nullptr;
  phone.count(100);
  REQUIRE_FALSE(phone.sent.empty());
  phone.client->response(phone.sent.front().request, 200,
                        "<html><head><title>Welcome</title></head></html>", phone.now);
  CHECK(phone.client->status().unsent == 1);
  CHECK(phone.client->status().hub_behind);
  phone.hub = &hub;
  phone.wait(20000);
  CHECK(phone.client->status().unsent == 0);
  CHECK_FALSE(phone.client->status().hub_behind);
}

TEST_CASE("a withdrawn key keeps everything on the phone and says so once") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.join();
  hub.refuse_status = 401;
  phone.count(100);
  phone.count(101);
  phone.wait(700000);
  CHECK(phone.told(Kind::no_key) == 1);
  CHECK(phone.client->status().no_key);
  CHECK(phone.client->status().key_refusal == "refused");  // the word of whoever answers here
  CHECK(phone.client->status().unsent == 2);
  hub.refuse_status = 0;
  phone.join();
  CHECK(phone.client->status().unsent == 0);
  CHECK_FALSE(phone.client->status().no_key);
}

TEST_CASE("a wrong code is told with its reason") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  hub.refuse_status = 403;
  phone.join();
  REQUIRE(phone.told(Kind::join_failed) == 1);
  CHECK(phone.notices.back().text == "refused");
  phone.hub = nullptr;
  phone.client->join("x", "y", phone.now);
  phone.run();
  phone.wait(20000);
  CHECK(phone.told(Kind::join_failed) == 2);
  CHECK(phone.notices.back().text == "no_answer");
}

TEST_CASE("how long the hub's codes are good is told with the reason, where it makes sense") {
  const auto told = [](const std::string& body) {
    PhoneOfTest phone(nullptr);
    phone.join();
    REQUIRE(phone.sent.size() == 1);
    phone.client->response(phone.sent.front().request, 403, body, phone.now);
    phone.run();
    REQUIRE(phone.told(Kind::join_failed) == 1);
    CHECK(phone.notices.back().text == "code_expired");
    return phone.notices.back().number;
  };
  CHECK(told(write_code_refusal({"code_expired", "", ""}, 10)) == 10);
  CHECK(told(write_error({"code_expired", "", ""})) == 0);
  CHECK(told(R"({"v":1,"error":"code_expired","minutes":-3})") == 0);
  CHECK(told(R"({"v":1,"error":"code_expired","minutes":"10"})") == 0);
  CHECK(told(R"({"v":1,"error":"code_expired","minutes":99999999999})") == 24 * 60);
}

TEST_CASE("a name cut at its limit stays readable text") {
  HubOfTest hub;
  PhoneOfTest phone(nullptr);
  std::string name(63, 'x');
  name += "\xc3\xb1";  // two bytes across the limit
  phone.client->join("ABCDE-FGHJK", name, phone.now);
  phone.run();
  REQUIRE(phone.sent.size() == 1);
  const auto envelope = read_envelope(phone.sent.front().body);
  REQUIRE(envelope.ok());
  CHECK(read_join_request(*envelope)->name == std::string(63, 'x'));
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
