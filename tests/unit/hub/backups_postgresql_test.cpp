// SPDX-License-Identifier: Apache-2.0
//
// The recipe for backups of a PostgreSQL store in tools/packaging/README.md, followed.
#include "running_hub.h"
#include "store_of_test.h"

namespace nthtree {
namespace {

using test::body_of;
using test::post;
using test::RunningHub;
using test::status_of;

std::unique_ptr<RunningHub> hub_on(const std::string& database) {
  return std::make_unique<RunningHub>(hub::ServerSettings{}, 0,
                                      [&](RunningHub& hub) { hub.database = database; });
}

std::string pulled(const RunningHub& hub, const std::string& key, const sync::Cursor& from) {
  const std::string answer =
      post(hub.port(), "/v1/pull", key, write(sync::PullRequest{from, 200}));
  REQUIRE(status_of(answer) == 200);
  return body_of(answer);
}

TEST_SUITE("hub") {

TEST_CASE("a database that came back from pg_dump is filled again by the phones") {
  if (!test::has_postgresql()) return;
  auto& server = test::TemporaryPostgresql::get();
  const std::string database = test::new_database();
  std::string key, dump;
  sync::Cursor seen;
  {
    const auto hub = hub_on(database);
    key = hub->join();
    REQUIRE(status_of(post(hub->port(), "/v1/push", key, test::push_of(1, 3))) == 200);
    // The hub's own role sees no row unless it says which farm: its dump would be refused or empty.
    CHECK(server.dump(database, "hub").empty());
    dump = server.dump(database, "postgres");
    REQUIRE(!dump.empty());
    REQUIRE(status_of(post(hub->port(), "/v1/push", key, test::push_of(4, 5))) == 200);
    const std::string body = pulled(*hub, key, {});
    const auto reply = sync::read_pull_reply(*sync::read_envelope(body));
    REQUIRE(reply.ok());
    seen = reply->cursor;
    CHECK(seen.arrival == 5);
    CHECK(body_of(test::ask(hub->port(), "GET", "/v1/health"))
              .find("\"backups\":\"database\"") != std::string::npos);
  }
  const auto hub = hub_on(server.restored(dump));
  CHECK(hub->writer->records() == 3);
  // The phone's place in the list is not of this history, so it begins anew and says hello.
  const std::string body = pulled(*hub, key, seen);
  const auto again = sync::read_pull_reply(*sync::read_envelope(body));
  REQUIRE(again.ok());
  CHECK(again->reset);
  CHECK(again->lines.size() == 3);
  const sync::HelloRequest hello{RunningHub::device, {{RunningHub::device, [] {
                                                         sync::SequenceSet all;
                                                         all.add(1, 5);
                                                         return all;
                                                       }()}},
                                 {}, 1, {RunningHub::proof}};
  const std::string said = body_of(post(hub->port(), "/v1/hello", key, write(hello)));
  const auto lacking = sync::read_hello_reply(*sync::read_envelope(said));
  REQUIRE(lacking.ok());
  REQUIRE(lacking->missing.count(RunningHub::device) == 1);
  CHECK(lacking->missing.at(RunningHub::device).ranges().front().first == 4);
  REQUIRE(status_of(post(hub->port(), "/v1/push", key, test::push_of(4, 5))) == 200);
  CHECK(hub->writer->records() == 5);
  // Also where the new history has grown as long as the old one, that place is of another start.
  const std::string later = pulled(*hub, key, seen);
  CHECK(sync::read_pull_reply(*sync::read_envelope(later))->reset);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree
