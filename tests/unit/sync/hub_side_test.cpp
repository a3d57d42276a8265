// SPDX-License-Identifier: Apache-2.0
#include "sync/hub_side.h"

#include "support/memory_hub_store.h"
#include "support/records.h"

namespace nthtree::sync {
namespace {

using test::MemoryHubStore;
using test::phone_a;
using test::phone_b;
using test::record_of;
using test::tag;

struct Hub {
  MemoryHubStore store{"e1"};
  HubSide side{store};
  Hub() {
    store.set_owner(phone_a, 1);
    store.set_owner(phone_b, 1);
    CHECK(side.open().ok());
  }

  Sender sender{1, "tablet", "", orchard::Role::manager};
  std::int64_t wall_ms = test::monday_ms;

  HubReply ask(std::string_view path, std::string body) {
    const auto request = read_hub_request(path, std::move(body));
    REQUIRE_MESSAGE(request.ok(), (request.ok() ? "" : request.error().text()));
    return side.take(*request, sender, wall_ms);
  }
  PushReply push(const std::vector<RawRecord>& raw_records, ledger::DeviceKey device = phone_a) {
    PushRequest push{device, {}, {}};
    for (const RawRecord& raw : raw_records) {
      push.ids.push_back(raw.id);
      push.lines.push_back(raw.bytes);
    }
    const HubReply reply = ask(path_push, write(push));
    REQUIRE(reply.status == 200);
    return *read_push_reply(*read_envelope(reply.body));
  }
  // The head of the answer; `lines` gets the records.
  PullReply pull(const Cursor& cursor, std::vector<std::string>& lines, std::uint64_t most = 200) {
    const HubReply reply = ask(path_pull, write(PullRequest{cursor, most}));
    const auto envelope = read_envelope(reply.body);
    REQUIRE(envelope.ok());
    auto pulled = *read_pull_reply(*envelope);
    lines.assign(pulled.lines.begin(), pulled.lines.end());
    pulled.lines.clear();
    return pulled;
  }
};

RawRecord raw_of(const ledger::Record& record) { return {record.id, record.bytes}; }

TEST_SUITE("sync") {

TEST_CASE("a batch pushed twice is held once") {
  Hub hub;
  const std::vector<RawRecord> batch = {raw_of(record_of(phone_a, 1, 1, tag(1, 1, 1))),
                                        raw_of(record_of(phone_a, 2, 2, tag(1, 2, 2)))};
  CHECK(hub.push(batch).head == 2);
  const PushReply again = hub.push(batch);
  CHECK(again.head == 2);
  CHECK(again.conflicts.empty());
  CHECK(hub.side.records() == 2);
  CHECK(hub.store.last_arrival() == 2);
}

TEST_CASE("a gap is kept and told, not refused") {
  Hub hub;
  CHECK(hub.push({raw_of(record_of(phone_a, 3, 3, tag(1, 3, 3)))}).head == 0);
  CHECK(hub.push({raw_of(record_of(phone_a, 1, 1, tag(1, 1, 1)))}).head == 1);
  CHECK(hub.push({raw_of(record_of(phone_a, 2, 2, tag(1, 2, 2)))}).head == 3);
}

TEST_CASE("hello says what the hub lacks of what the phone holds") {
  Hub hub;
  hub.push({raw_of(record_of(phone_a, 1, 1, tag(1, 1, 1)))});
  HelloRequest hello{phone_a, {}, {}, 5};
  hello.have[phone_a].add(1, 4);
  hello.have[phone_b].add(7);
  const HubReply reply = hub.ask(path_hello, write(hello));
  const auto answer = *read_hello_reply(*read_envelope(reply.body));
  CHECK(answer.epoch == "e1");
  CHECK(answer.wall_ms == test::monday_ms);
  CHECK(answer.head == 1);
  CHECK(answer.missing.at(phone_a).text() == "2-4");
  CHECK(answer.missing.at(phone_b).text() == "7");
}

TEST_CASE("what is no record is set aside, acknowledged, and in nobody's way") {
  Hub hub;
  const auto good = record_of(phone_a, 2, 1, tag(1, 1, 1));
  const PushReply reply = hub.push({{{phone_a, 1}, "{\"spurs\":"}, raw_of(good),
                                    {{phone_a, 3}, record_of(phone_b, 3, 1, tag(1, 1, 1)).bytes}});
  CHECK(reply.set_aside == std::vector<ledger::RecordId>{{phone_a, 1}, {phone_a, 3}});
  CHECK(reply.head == 3);
  CHECK(hub.store.content().set_aside.size() == 2);
  std::vector<std::string> lines;
  hub.pull({}, lines);
  CHECK(lines == std::vector{good.bytes});
  const auto missing_of = [&](const ledger::DeviceKey& device) {
    HelloRequest hello{device, {}, {}, 5};
    hello.have[phone_a].add(1, 3);
    return read_hello_reply(*read_envelope(hub.ask(path_hello, write(hello)).body))->missing;
  };
  CHECK(missing_of(phone_a).empty());
  // Another phone may have the real one.
  hub.sender.key = 2;
  CHECK(missing_of(phone_b).at(phone_a).text() == "1,3");
  const auto real = record_of(phone_a, 1, 1, tag(7, 7, 7));
  hub.push({raw_of(real)}, phone_b);
  CHECK(hub.store.bytes(real.id) == real.bytes);
}

TEST_CASE("what this version cannot read is told, held and given on") {
  Hub hub;
  std::string later = record_of(phone_a, 1, 1, tag(1, 1, 5)).bytes;
  later.replace(later.find("\"spurs\":5"), 9, "\"spurs\":999999");
  const PushReply reply = hub.push({{{phone_a, 1}, later}});
  CHECK(reply.set_aside == std::vector<ledger::RecordId>{{phone_a, 1}});
  CHECK(reply.head == 1);
  std::vector<std::string> lines;
  hub.pull({}, lines);
  CHECK(lines == std::vector{later});
}

TEST_CASE("two records with one id are both given to everybody") {
  Hub hub;
  const auto x = record_of(phone_a, 1, 1, tag(1, 1, 1)), y = record_of(phone_a, 1, 2, tag(2, 2, 2));
  hub.push({raw_of(x)});
  std::vector<std::string> lines;
  const Cursor seen = hub.pull({}, lines).cursor;
  const PushReply reply = hub.push({raw_of(y)});
  CHECK(reply.conflicts == std::vector{x.id});
  CHECK(reply.head == 1);
  CHECK(hub.side.records() == 2);
  CHECK(hub.push({raw_of(y)}).conflicts.empty());
  CHECK(hub.push({raw_of(x)}).conflicts.empty());
  CHECK(hub.side.records() == 2);
  hub.pull(seen, lines);
  CHECK_FALSE(lines.empty());
}

TEST_CASE("an id is not left because somebody pushes its record's re-homed form") {
  Hub hub;
  const auto x = record_of(phone_a, 1, 1, tag(1, 1, 1));
  hub.push({raw_of(x), raw_of(record_of(phone_a, 2, 2, tag(1, 2, 2)))});
  const PushReply reply = hub.push({*rehome(x.bytes)});
  CHECK(reply.head == 2);
  CHECK(reply.wanted == std::vector{x.id});
  CHECK(hub.side.records() == 2);
  CHECK(hub.store.bytes(x.id) == x.bytes);
}

TEST_CASE("a pull goes on from its cursor and ends") {
  Hub hub;
  for (std::uint64_t i = 1; i <= 5; ++i) {
    hub.push({raw_of(record_of(phone_a, i, static_cast<int>(i), tag(1, 1, 1)))});
  }
  std::vector<std::string> lines;
  Cursor cursor;
  std::size_t total = 0;
  for (int pages = 0; pages < 3; ++pages) {
    const PullReply reply = hub.pull(cursor, lines, 2);
    CHECK_FALSE(reply.reset);
    CHECK(reply.more == (pages < 2));
    cursor = reply.cursor;
    total += lines.size();
  }
  CHECK(total == 5);
  CHECK(hub.pull(cursor, lines).cursor == cursor);
  CHECK(lines.empty());
}

TEST_CASE("a cursor of another past is answered from the beginning") {
  Hub hub;
  hub.push({raw_of(record_of(phone_a, 1, 1, tag(1, 1, 1)))});
  hub.push({raw_of(record_of(phone_a, 2, 1, tag(1, 1, 1)))});
  std::vector<std::string> lines;
  for (const Cursor& cursor : {Cursor{"e0", 2, "first"}, Cursor{"e1", 9, "first"},
                               Cursor{"e1", 2, "second"}, Cursor{"e1", 2, ""}, Cursor{"e0", 0, ""}}) {
    const PullReply reply = hub.pull(cursor, lines);
    CHECK(reply.reset);
    CHECK(lines.size() == 2);
    CHECK(reply.cursor.epoch == "e1");
  }
}

TEST_CASE("a cursor from before a start of the hub stays good, and one the hub forgot does not") {
  Hub hub;
  const auto first = raw_of(record_of(phone_a, 1, 1, tag(1, 1, 1)));
  const auto second = raw_of(record_of(phone_a, 2, 1, tag(1, 1, 2)));
  const auto third = raw_of(record_of(phone_b, 1, 1, tag(1, 1, 3)));
  hub.push({first});
  const auto old_file = hub.store.content();
  hub.push({second});
  std::vector<std::string> lines;
  const Cursor seen = hub.pull({}, lines).cursor;
  SUBCASE("a plain start") {
    hub.store.note_opening("next");
    hub.push({third});
    CHECK_FALSE(hub.pull(seen, lines).reset);
    CHECK(lines == std::vector{third.bytes});
  }
  SUBCASE("with an old file, and the same number given again") {
    hub.store.replace(old_file);
    hub.store.note_opening("next");
    REQUIRE(hub.side.open().ok());
    hub.push({third});
    CHECK(hub.pull(seen, lines).reset);
    CHECK(lines.size() == 2);
  }
}

TEST_CASE("a full disk answers 507 and after rolling back all is as before") {
  Hub hub;
  hub.push({raw_of(record_of(phone_a, 1, 1, tag(1, 1, 1)))});
  hub.store.commit();
  hub.store.full = true;
  PushRequest push{phone_a, {{phone_a, 2}}, {}};
  const auto record = record_of(phone_a, 2, 1, tag(1, 1, 1));
  push.lines.push_back(record.bytes);
  CHECK(hub.ask(path_push, write(push)).status == 507);
  hub.store.rollback();
  REQUIRE(hub.side.open().ok());
  CHECK(hub.side.records() == 1);
  std::vector<std::string> lines;
  hub.pull({}, lines);
  CHECK(lines.size() == 1);
  hub.store.full = false;
  CHECK(hub.push({raw_of(record)}).head == 2);
}

TEST_CASE("a request for no known thing is refused with its reason") {
  CHECK_FALSE(read_hub_request(path_push, "").ok());
  CHECK_FALSE(read_hub_request(path_push, "{\"v\":1}").ok());
  CHECK(read_hub_request(path_pull, "{\"v\":9}").error().id == "other_version");
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
