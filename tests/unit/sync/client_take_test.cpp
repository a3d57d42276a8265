// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "support/sync_driver.h"

namespace nthtree::sync {
namespace {

using test::HubOfTest;
using test::phone_a;
using test::phone_b;
using test::PhoneOfTest;
using test::record_of;
using test::tag;
using Kind = Notice::Kind;

TEST_SUITE("sync") {

TEST_CASE("records and the cursor behind them are one change of the disk") {
  HubOfTest hub;
  PhoneOfTest a(&hub, phone_a), b(nullptr, phone_b);
  a.join();
  a.count(1);
  b.hub = &hub;
  b.client->join("c", "n", b.now);
  bool seen = false;
  for (int rounds = 0; rounds < 20; ++rounds) {
    for (Action& action : b.client->take_actions()) {
      if (auto* store = std::get_if<StoreChange>(&action); store && !store->puts.empty()) {
        seen = true;
        CHECK(store->state.find("\"arrival\":1") != std::string::npos);
        CHECK(b.client->store().size() == 0);  // not before the disk says so
      }
      b.carry_out(action);
    }
  }
  CHECK(seen);
  CHECK(b.client->store().size() == 1);
}

TEST_CASE("a disk that refuses leaves the cursor where it was, and is asked again") {
  HubOfTest hub;
  PhoneOfTest a(&hub, phone_a), b(&hub, phone_b);
  a.join();
  a.count(1);
  b.join();
  CHECK(b.disk.size() == 1);
  b.disk_full = true;
  a.count(2);
  b.wait(30000);
  b.wait(30000);
  CHECK(b.told(Kind::disk_refused) == 1);
  CHECK(b.applied.size() == 1);
  const std::string state = b.state;
  CHECK(state.find("\"arrival\":1,") != std::string::npos);
  b.disk_full = false;
  b.wait(300000);
  CHECK(b.disk.size() == 2);
  CHECK(b.applied.size() == 2);
}

TEST_CASE("pages follow each other until the end") {
  HubOfTest hub;
  PhoneOfTest a(nullptr, phone_a), b(&hub, phone_b);
  for (int i = 0; i < 4500; ++i) a.count(i);
  a.hub = &hub;
  a.join();
  a.wait(1000);
  b.join();
  CHECK(b.disk.size() == 4500);
  CHECK(std::count(hub.paths.begin(), hub.paths.end(), path_pull) >= 3);
}

TEST_CASE("a phone that joined late fetched a season 200 records at a time") {
  HubOfTest hub;
  PhoneOfTest a(nullptr, phone_a);
  for (int i = 0; i < 450; ++i) a.count(i);
  a.hub = &hub;
  a.join();
  a.wait(1000);
  const auto page = [&](const PullRequest& asked) {
    const std::string body = hub.answer(std::string(path_pull), write(asked)).body;
    const auto reply = read_pull_reply(*read_envelope(body));
    REQUIRE(reply.ok());
    std::vector<std::string> lines(reply->lines.begin(), reply->lines.end());
    return std::pair{lines, *reply};
  };
  const auto [all, packed] = page({{}, page_records_max, true});
  CHECK(packed.packed);
  CHECK_FALSE(packed.more);
  REQUIRE(all.size() == 450);
  SUBCASE("what an older phone asks for it gets as before, and the same records") {
    const auto [first, plain] = page({{}, page_records_max, false});
    CHECK_FALSE(plain.packed);
    CHECK(plain.more);
    CHECK(first == std::vector<std::string>(all.begin(), all.begin() + 200));
    const auto [rest, after] = page({plain.cursor, page_records_max, true});  // it was updated
    CHECK(rest == std::vector<std::string>(all.begin() + 200, all.end()));
    CHECK(after.cursor == packed.cursor);
  }
  SUBCASE("a packed page cut short is no page") {
    const std::string whole = write(packed);
    for (std::size_t cut = 1; cut < whole.size(); cut += 997) {
      const auto envelope = read_envelope(std::string_view(whole).substr(0, whole.size() - cut));
      CHECK_FALSE((envelope && read_pull_reply(*envelope)));
    }
  }
}

TEST_CASE("fetching goes on while sending fails") {
  HubOfTest hub;
  PhoneOfTest a(&hub, phone_a), b(&hub, phone_b);
  a.join();
  b.join();
  a.count(1);
  b.hub = nullptr;
  b.count(2);
  REQUIRE(b.sent.size() == 1);  // a push that gets no answer
  b.sent.clear();
  b.hub = &hub;
  b.now.elapsed_ms += 21000;
  b.client->tick(b.now);
  b.run();
  CHECK(b.disk.size() == 2);
}

TEST_CASE("records from a file or another phone come in and go on to the hub") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.join();
  const auto x = record_of(phone_b, 1, 5, tag(1, 1, 100)), y = record_of(phone_b, 3, 6, tag(1, 2, 5));
  phone.client->import(x.bytes + "\r\n\n" + y.bytes + "\n", phone.now);
  phone.run();
  CHECK(phone.disk.size() == 2);
  CHECK(phone.applied.size() == 2);
  CHECK(hub.store.bytes(x.id) == x.bytes);
  CHECK(hub.store.bytes(y.id) == y.bytes);
  REQUIRE(phone.told(Kind::imported) == 1);
  CHECK(phone.notices.back().number == 2);
  SUBCASE("again changes nothing") {
    phone.client->import(x.bytes + "\n" + y.bytes + "\n", phone.now);
    phone.run();
    CHECK(phone.notices.back().number == 0);
    CHECK(phone.notices.back().tally.known == 2);
    CHECK(phone.disk.size() == 2);
  }
}

TEST_CASE("a file opened while the disk is full comes in when there is room") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.join();
  phone.disk_full = true;
  const auto x = record_of(phone_b, 1, 5, tag(1, 1, 100)), y = record_of(phone_b, 2, 6, tag(1, 2, 5));
  phone.client->import(x.bytes + "\n" + y.bytes + "\n", phone.now);
  phone.wait(5000);
  CHECK(phone.disk.empty());
  CHECK(phone.told(Kind::disk_refused) == 1);
  CHECK(phone.told(Kind::imported) == 0);
  phone.disk_full = false;
  phone.wait(300000);
  CHECK(phone.disk.size() == 2);
  CHECK(phone.told(Kind::imported) == 1);
  CHECK(hub.store.bytes(x.id) == x.bytes);
}

TEST_CASE("a large file comes in by thousands") {
  PhoneOfTest phone(nullptr);
  std::string lines;
  for (std::uint64_t i = 1; i <= 2500; ++i) lines += record_of(phone_b, i, 5, tag(1, 1, 1)).bytes + "\n";
  phone.client->import(lines, phone.now);
  phone.run();
  CHECK(phone.disk.size() == 2500);
  CHECK(phone.told(Kind::imported) == 3);
  std::int64_t fresh = 0;
  int ends = 0;
  for (const Notice& notice : phone.notices) {
    fresh += notice.tally.fresh;
    ends += notice.kind == Kind::imported && notice.tally.last;
  }
  CHECK(fresh == 2500);
  CHECK(ends == 1);
  CHECK(phone.notices.back().tally.last);
}

TEST_CASE("a line nobody can read is told and takes no good line with it") {
  HubOfTest hub;
  PhoneOfTest phone(&hub);
  phone.join();
  const auto good = record_of(phone_b, 1, 5, tag(1, 1, 100));
  std::string later = record_of(phone_b, 2, 6, tag(1, 2, 5)).bytes;
  later.replace(later.find("\"spurs\":5"), 9, "\"spurs\":-5");
  phone.client->import("{\"broken\n" + good.bytes + "\n" + later + "\n\xff\xfe\n", phone.now);
  phone.run();
  REQUIRE(phone.told(Kind::set_aside_here) == 1);
  const auto told = std::find_if(phone.notices.begin(), phone.notices.end(),
                                 [](const Notice& n) { return n.kind == Kind::imported; });
  REQUIRE(told != phone.notices.end());
  CHECK(told->tally.fresh == 1);
  CHECK(told->tally.set_aside == 1);
  CHECK(told->tally.damaged == 2);
  CHECK(told->tally.known == 0);
  CHECK(phone.applied.size() == 1);
  CHECK(phone.disk.size() == 2);  // the unreadable one that has an id is kept and passed on
  CHECK(phone.told(Kind::set_aside_at_hub) == 1);
  CHECK(hub.store.content().set_aside.empty());
  CHECK(hub.side.records() == 2);
  phone.wait(120000);
  CHECK(phone.told(Kind::set_aside_at_hub) == 1);  // acknowledged: not sent again
}

TEST_CASE("kinds and fields of a later version are kept and passed on untouched") {
  HubOfTest hub;
  PhoneOfTest a(&hub, phone_a), b(&hub, phone_b);
  a.join();
  b.join();
  const std::string id = ledger::RecordId{{5, 5}, 1}.text();
  const std::string later =
      "{\"v\":1,\"id\":\"" + id + "\",\"at_ms\":5,\"tick\":0,\"clock_ms\":5,\"author\":\"p\","
      "\"kind\":\"drone_photo\",\"body\":{\"deep\":[1,2,{\"x\":1e3}]},\"mood\":\"fine\"}";
  a.client->import(later, a.now);
  a.run();
  b.wait(30000);
  REQUIRE(b.disk.size() == 1);
  CHECK(b.disk.begin()->second == later);
}

TEST_CASE("a record on its way to the disk never meets another of its id there") {
  HubOfTest hub;
  PhoneOfTest a(&hub), clone(&hub, phone_b);
  a.join();
  a.count(1);
  a.wait(30000);
  clone.start_from(a);
  const auto other = a.count(2);  // the hub has it; the clone has not fetched it yet
  const auto own = clone.client->write(tag(7, 7, 7), "p2", std::nullopt, clone.now.wall_ms);
  REQUIRE(own.ok());
  REQUIRE(own->id == other.id);
  clone.wait(30000);
  CHECK(clone.client->store().size() == 1);  // the page waits
  clone.disk[own->id] = own->bytes;
  clone.client->local_stored(own->id, clone.now);
  clone.run();
  clone.wait(60000);
  a.wait(60000);
  a.wait(60000);
  CHECK(clone.disk.size() == 3);
  CHECK(a.disk == clone.disk);
}

TEST_CASE("a count got a number that another's record was being stored under, and was lost") {
  PhoneOfTest phone(nullptr);
  const ledger::DeviceKey device = test::device_drawn(phone_a);
  const auto claimed = record_of(device, 1, 0, tag(1, 1, 999));
  phone.client->import(claimed.bytes, phone.now);
  std::vector<Action> under_way = phone.client->take_actions();  // the disk is slow
  const ledger::Record counted = phone.count(100);
  CHECK(counted.id != claimed.id);
  for (Action& action : under_way) phone.carry_out(action);
  phone.run();
  CHECK(phone.client->store().bytes(counted.id) == counted.bytes);
  CHECK(phone.disk[counted.id] == counted.bytes);
}

TEST_CASE("a phone from 2099 does not take the others there") {
  HubOfTest hub;
  PhoneOfTest a(&hub, phone_a), b(&hub, phone_b);
  a.join();
  b.join();
  a.now.wall_ms += 73LL * 365 * 86400 * 1000;
  a.count(1);
  b.wait(30000);
  CHECK(b.disk.size() == 1);
  CHECK(b.count(2).stamp.at_ms <= b.now.wall_ms + ledger::ClockOfDevice::ahead_ms_max);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
