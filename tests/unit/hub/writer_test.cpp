// SPDX-License-Identifier: Apache-2.0
#include "hub/writer.h"

#include <future>

#include "hub/limits.h"
#include "hub/sqlite.h"
#include "hub/store_sqlite.h"
#include "support/records.h"
#include "sync/message.h"
#include "temporary_folder.h"

namespace nthtree::hub {
namespace {

const std::string proof = "0123456789abcdef0123456789abcdef";

sync::HubRequest hello() {
  const ledger::DeviceKey device = sync::device_of_proof(proof);
  auto request = sync::read_hub_request(sync::path_hello,
                                        write(sync::HelloRequest{device, {}, {}, 1, {proof}}));
  REQUIRE(request.ok());
  return std::move(*request);
}

TEST_SUITE("hub") {

TEST_CASE("a full queue is told at once, and whoever is in it is answered") {
  const test::TemporaryFolder folder;
  auto store = open_sqlite_store(folder / "hub.sqlite");
  REQUIRE(store.ok());
  Writer writer(std::move(*store), [] { return test::monday_ms; });
  REQUIRE(writer.start().ok());
  std::promise<void> slow_disk, busy;
  writer.run(
      [&](Store&, sync::HubSide&) {
        busy.set_value();
        slow_disk.get_future().wait();
      },
      [](base::Status) {});
  busy.get_future().wait();

  std::atomic<std::size_t> answered = 0;
  const auto submit = [&] {
    return writer.submit({hello(), {1, "tablet"}, [&](sync::HubReply reply) {
                            CHECK(reply.status == 200);
                            ++answered;
                          }});
  };
  std::size_t taken = 0;
  while (taken <= queue_requests_max && submit()) ++taken;
  CHECK(taken == queue_requests_max);
  CHECK(answered == 0);
  slow_disk.set_value();
  while (answered < taken) std::this_thread::yield();
  CHECK(submit());
  writer.stop();
  CHECK(answered == taken + 1);
}

TEST_CASE("the day's page and a late phone's pages kept the crew's pushes waiting") {
  const test::TemporaryFolder folder;
  auto store = open_sqlite_store(folder / "hub.sqlite");
  REQUIRE(store.ok());
  Writer writer(std::move(*store), [] { return test::monday_ms; });
  REQUIRE(writer.start().ok());
  std::promise<void> long_page, reading;
  std::promise<std::uint64_t> seen;
  REQUIRE(writer.read(
      [&](Store& read) {
        const std::uint64_t before = read.last_arrival();
        reading.set_value();
        long_page.get_future().wait();
        seen.set_value(before + read.last_arrival());
      },
      [](const base::Status&) {}));
  reading.get_future().wait();
  // Pushes and pulls go on while the page is being made, which goes on seeing its own moment.
  const auto answered = [&](const char* path, const std::string& body) {
    std::promise<sync::HubReply> reply;
    auto request = sync::read_hub_request(path, body);
    REQUIRE(request.ok());
    REQUIRE(writer.submit({std::move(*request), {1, "tablet"},
                           [&](sync::HubReply said) { reply.set_value(std::move(said)); }}));
    auto said = reply.get_future();
    REQUIRE(said.wait_for(std::chrono::seconds(20)) == std::future_status::ready);
    return said.get();
  };
  const ledger::DeviceKey device = sync::device_of_proof(proof);
  const std::string count = test::record_of(device, 1, 1, test::tag(1, 1, 100)).bytes;
  const sync::PushRequest push{device, {{device, 1}}, {count}, {}};
  CHECK(answered("/v1/push", write(push)).status == 200);
  const sync::HubReply pulled = answered("/v1/pull", write(sync::PullRequest{{}, 200}));
  CHECK(pulled.status == 200);
  CHECK(pulled.body.find(count) != std::string::npos);
  long_page.set_value();
  CHECK(seen.get_future().get() == 0);
  writer.stop();
}

TEST_CASE("a file that another process held for a moment cost the phones their answer") {
  const test::TemporaryFolder folder;
  auto store = open_sqlite_store(folder / "hub.sqlite", {0, 20});
  REQUIRE(store.ok());
  Writer writer(std::move(*store), [] { return test::monday_ms; });
  REQUIRE(writer.start().ok());
  Database other;
  REQUIRE(other.open(folder / "hub.sqlite", false).ok());
  other.execute("BEGIN IMMEDIATE");
  std::promise<int> status;
  std::promise<bool> done;
  REQUIRE(writer.submit({hello(), {1, "tablet"},
                         [&](sync::HubReply reply) { status.set_value(reply.status); }}));
  writer.run([](Store& used, sync::HubSide&) { used.note_health(1); },
             [&](const base::Status& noted) { done.set_value(noted.ok()); });
  std::this_thread::sleep_for(std::chrono::milliseconds(200));
  other.execute("COMMIT");
  CHECK(status.get_future().get() == 200);
  CHECK(done.get_future().get());
}

TEST_CASE("a file that stays locked is an error of its own, after which reading goes on") {
  const test::TemporaryFolder folder;
  auto store = open_sqlite_store(folder / "hub.sqlite", {0, 1});
  REQUIRE(store.ok());
  Database other;
  REQUIRE(other.open(folder / "hub.sqlite", false).ok());
  other.execute("BEGIN IMMEDIATE");
  (*store)->begin();
  (*store)->note_health(1);
  const auto committed = (*store)->commit();
  REQUIRE_FALSE(committed.ok());
  CHECK(committed.error().id == "store_busy");
  CHECK(is_passing(committed.error()));
  CHECK_FALSE(is_unsure(committed.error()));
  CHECK((*store)->epoch().size() == 32);
}

}

}  // namespace
}  // namespace nthtree::hub
