// SPDX-License-Identifier: Apache-2.0
//
// Several hubs on one database, of one farm and of several, asked over HTTP.
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

TEST_CASE("a key of one farm opened something of another on the same database") {
  if (!test::has_postgresql()) return;
  const std::string database = test::new_database();
  const auto north = hub_of(database, "north"), south = hub_of(database, "south");
  const std::string north_code = north->next_code();
  const std::string north_key = north->join(), south_key = south->join();  // both managers'
  REQUIRE(status_of(post(north->port(), "/v1/push", north_key, test::push_of(1, 3))) == 200);
  REQUIRE(status_of(post(south->port(), "/v1/push", south_key, test::push_of(4, 4))) == 200);

  const std::pair<const char*, std::string> posts[] = {
      {"/v1/hello", write(sync::HelloRequest{RunningHub::device, {}, {}, 1, {RunningHub::proof}})},
      {"/v1/push", test::push_of(7, 9)},
      {"/v1/pull", write(sync::PullRequest{{}, 200})},
      {"/v1/keys", R"({"v":1})"},
      {"/v1/keys/change", R"({"v":1,"id":1,"name":"taken over"})"},
      {"/v1/keys/code", R"({"v":1,"role":"manager","person":"","name":""})"},
      {"/v1/forget", R"({"v":1,"person":"p7"})"}};
  const std::pair<const RunningHub*, std::string> crossed[] = {{south.get(), north_key},
                                                               {north.get(), south_key}};
  for (const auto& [hub, key] : crossed) {
    for (const auto& [path, body] : posts) {
      INFO(path);
      CHECK(status_at_last([&] { return post(hub->port(), path, key, body); }) == 401);
    }
    for (const char* path : {"/v1/day", "/v1/counts.csv", "/v1/records.csv", "/v1/records.jsonl"}) {
      INFO(path);
      const std::string bearer = "Authorization: Bearer " + key + "\r\n";
      CHECK(status_at_last([&] { return ask(hub->port(), "GET", path, bearer); }) == 401);
    }
  }
  // A code of the other farm is unknown, not used or expired.
  const std::string foreign = post(south->port(), "/v1/join", "",
                                   write(sync::JoinRequest{north->next_code(north_code), "x"}));
  CHECK(status_of(foreign) == 403);
  CHECK(body_of(foreign).find("code_unknown") != std::string::npos);
  CHECK(north->writer->records() == 3);
  CHECK(south->writer->records() == 1);
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
