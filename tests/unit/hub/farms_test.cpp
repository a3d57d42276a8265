// SPDX-License-Identifier: Apache-2.0
//
// Several hubs on one database, of one farm and of several, asked over HTTP.
#include <sys/wait.h>

#include <csignal>

#include "load/hub_process.h"
#include "running_hub.h"
#include "store_of_test.h"

namespace nthtree {
namespace {

using test::ask;
using test::body_of;
using test::post;
using test::RunningHub;
using test::status_of;

std::unique_ptr<RunningHub> hub_of(const std::string& database, const std::string& farm) {
  return std::make_unique<RunningHub>(hub::ServerSettings{}, 0, [&](RunningHub& hub) {
    hub.database = database;
    hub.farm = farm;
  });
}

// Whoever is told that the keys are being read asks again, as phones do.
int status_at_last(const std::function<std::string()>& once) {
  int status = 503;
  for (int i = 0; i < 50 && status == 503; ++i) {
    if (i > 0) std::this_thread::sleep_for(std::chrono::milliseconds(100));
    status = status_of(once());
  }
  return status;
}

TEST_SUITE("hub") {

// Where a farm is asked: at a process of its own, or by its name at one that serves both.
struct FarmDoor {
  const RunningHub* hub;
  unsigned short port;
  std::string host;
};

// Every endpoint of one farm with another farm's key.
void check_refused(const FarmDoor& door, const std::string& key) {
  const std::pair<const char*, std::string> posts[] = {
      {"/v1/hello", write(sync::HelloRequest{RunningHub::device, {}, {}, 1, {RunningHub::proof}})},
      {"/v1/push", test::push_of(7, 9)},
      {"/v1/pull", write(sync::PullRequest{{}, 200})},
      {"/v1/keys", R"({"v":1})"},
      {"/v1/keys/change", R"({"v":1,"id":1,"name":"taken over"})"},
      {"/v1/keys/code", R"({"v":1,"role":"manager","person":"","name":""})"},
      {"/v1/forget", R"({"v":1,"person":"p7"})"}};
  for (const auto& [path, body] : posts) {
    INFO(path);
    CHECK(status_at_last([&] { return post(door.port, path, key, body, door.host); }) == 401);
  }
  for (const char* path : {"/v1/day", "/v1/counts.csv", "/v1/records.csv", "/v1/records.jsonl"}) {
    INFO(path);
    const std::string bearer = "Authorization: Bearer " + key + "\r\n";
    CHECK(status_at_last([&] { return ask(door.port, "GET", path, bearer, "", door.host); }) ==
          401);
  }
}

struct TwoFarms {
  std::unique_ptr<RunningHub> north, south;
  std::string north_code, north_key, south_key;  // keys: both managers'

  explicit TwoFarms(const std::string& database)
      : north(hub_of(database, "north")), south(hub_of(database, "south")),
        north_code(north->next_code()), north_key(north->join()), south_key(south->join()) {
    REQUIRE(status_of(post(north->port(), "/v1/push", north_key, test::push_of(1, 3))) == 200);
    REQUIRE(status_of(post(south->port(), "/v1/push", south_key, test::push_of(4, 4))) == 200);
  }
  void check(const FarmDoor& north_door, const FarmDoor& south_door) {
    check_refused(south_door, north_key);
    check_refused(north_door, south_key);
    // A code of the other farm is unknown, not used or expired.
    const std::string foreign =
        post(south_door.port, "/v1/join", "",
             write(sync::JoinRequest{north->next_code(north_code), "x"}), south_door.host);
    CHECK(status_of(foreign) == 403);
    CHECK(body_of(foreign).find("code_unknown") != std::string::npos);
    CHECK(north->writer->records() == 3);
    CHECK(south->writer->records() == 1);
  }
};

TEST_CASE("a key of one farm opened something of another on the same database") {
  if (!test::has_postgresql()) return;
  TwoFarms farms(test::new_database());
  farms.check({farms.north.get(), farms.north->port(), "localhost"},
              {farms.south.get(), farms.south->port(), "localhost"});
}

TEST_CASE("a key of one farm opened something of another in the same process") {
  if (!test::has_postgresql()) return;
  TwoFarms farms(test::new_database());
  hub::Farms served;
  served.add("north", "north.farm", *farms.north->service);
  served.add("south", "south.farm", *farms.south->service);
  hub::Server server(served);
  REQUIRE(server.listen("127.0.0.1", 0, hub::Door::metrics).ok());
  REQUIRE(server.listen("127.0.0.1", 0).ok());
  const unsigned short port = server.port();
  farms.check({farms.north.get(), port, "north.farm"}, {farms.south.get(), port, "south.farm"});

  // Each key opens its own, whatever port and letters the name is written with.
  const std::string pull = write(sync::PullRequest{{}, 200});
  const std::string norths = post(port, "/v1/pull", farms.north_key, pull, "North.Farm:8443");
  CHECK(status_of(norths) == 200);
  CHECK(body_of(norths).find("\"arrival\":3") != std::string::npos);
  const std::string souths = post(port, "/v1/pull", farms.south_key, pull, "south.farm");
  CHECK(status_of(souths) == 200);
  CHECK(body_of(souths).find("\"arrival\":1") != std::string::npos);
  // On one connection two farms may be asked, each by its name.
  test::RawHttp both(port);
  for (const auto& [host, key, wanted] :
       {std::tuple("north.farm", farms.north_key, 200), {"south.farm", farms.north_key, 401},
        {"south.farm", farms.south_key, 200}}) {
    both.say("GET /v1/records.jsonl HTTP/1.1\r\nHost: " + std::string(host) +
             "\r\nAuthorization: Bearer " + key + "\r\n\r\n");
    int status = status_of(both.hear());
    if (status == 503) status = 401;  // its keys are being read again: it is unknown there
    CHECK(status == wanted);
  }
  // A name that is no farm's gets nothing, not the first farm.
  for (const char* host : {"localhost", "127.0.0.1", "east.farm", "", "north.farm.evil"}) {
    INFO(host);
    CHECK(status_of(post(port, "/v1/pull", farms.north_key, pull, host)) == 421);
    CHECK(status_of(ask(port, "GET", "/", "", "", host)) == 421);
    CHECK(status_of(ask(port, "GET", "/v1/health", "", "", host)) == 421);
  }
  CHECK(status_of(ask(port, "GET", "/", "", "", "south.farm")) == 200);
  const unsigned short counts = server.port(hub::Door::metrics);
  CHECK(body_of(ask(counts, "GET", "/metrics?farm=north")).find("nthtree_records 3") !=
        std::string::npos);
  CHECK(body_of(ask(counts, "GET", "/metrics?farm=south")).find("nthtree_records 1") !=
        std::string::npos);
  CHECK(status_of(ask(counts, "GET", "/metrics")) == 421);
  server.stop();
}

TEST_CASE("one process served one farm") {
  if (!test::has_postgresql()) return;
  const std::string database = test::new_database();
  setenv("NTHTREE_HUB_FARMS", "north=north.farm,south=south.farm", 1);
  setenv("NTHTREE_HUB_NEW_FARM", "yes", 1);
  unsigned short port = 0;
  const pid_t process = test::start_hub(NTHTREE_HUB, "--store", database, port);
  unsetenv("NTHTREE_HUB_FARMS");
  unsetenv("NTHTREE_HUB_NEW_FARM");
  REQUIRE(port != 0);
  for (const char* host : {"north.farm", "south.farm"}) {
    CHECK(status_of(ask(port, "GET", "/v1/health", "", "", host)) == 200);
  }
  CHECK(status_of(ask(port, "GET", "/v1/health", "", "", "localhost")) == 421);
  kill(process, SIGTERM);
  int status = -1;
  waitpid(process, &status, 0);
  CHECK(status == 0);
}

TEST_CASE("a phone that joined at one hub of a farm was a stranger at the other") {
  if (!test::has_postgresql()) return;
  const std::string database = test::new_database();
  const auto one = hub_of(database, "north"), two = hub_of(database, "north");
  const std::string key = one->join();
  CHECK(status_at_last([&] { return post(two->port(), "/v1/push", key, test::push_of(1, 3)); }) ==
        200);
  // What the one took, the other gives out.
  const std::string pulled =
      post(one->port(), "/v1/pull", key, write(sync::PullRequest{{}, 200}));
  CHECK(status_of(pulled) == 200);
  CHECK(body_of(pulled).find("\"arrival\":3") != std::string::npos);
  CHECK(status_at_last([&] { return post(two->port(), "/v1/pull", "no such key",
                                         write(sync::PullRequest{{}, 200})); }) == 401);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree
