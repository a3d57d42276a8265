// SPDX-License-Identifier: Apache-2.0
//
// Who has joined, as what, and what their phones may do: keys, codes, quotas, names forgotten.
#include <sys/stat.h>

#include <filesystem>
#include <fstream>

#include "hub/commands.h"
#include "running_hub.h"

namespace nthtree::hub {
namespace {

using test::body_of;
using test::post;
using test::push_of;
using test::RunningHub;
using test::status_of;

TEST_SUITE("hub") {

TEST_CASE("one join while the file was locked logged out every phone") {
  Keys keys;
  KeyOfPhone phone;
  phone.id = 1;
  phone.hash = sync::sha256("secret");
  keys.set(std::vector<KeyOfPhone>{phone});
  REQUIRE(keys.find("secret"));
  keys.set(base::Error{"store_failed", "database is locked", ""});
  CHECK(keys.find("secret"));
  phone.withdrawn_ms = 5;
  keys.set(std::vector<KeyOfPhone>{phone});
  CHECK_FALSE(keys.find("secret"));
  CHECK(keys.is_withdrawn("secret"));
  CHECK_FALSE(keys.is_withdrawn("another"));
}

TEST_CASE("a phone that joined after the backup is told so, and not that it was thrown out") {
  RunningHub hub;
  const std::string told =
      post(hub.port(), "/v1/pull", "a-key-of-another-day", write(sync::PullRequest{{}, 5}));
  CHECK(status_of(told) == 401);
  CHECK(told.find("key_unknown") != std::string::npos);
}

TEST_CASE("a missing or empty file where there was a farm made a new one without a word") {
  test::TemporaryFolder folder;
  Options options;
  options.data = folder.path();
  REQUIRE(run_command("keys", options).ok());
  const std::string path = folder / "hub.sqlite";
  for (const bool is_empty : {false, true}) {
    std::filesystem::remove(path);
    if (is_empty) std::ofstream(path, std::ios::trunc);
    const auto status = run_command("keys", options);
    REQUIRE_FALSE(status.ok());
    CHECK(status.error().id == "store_missing");
  }
  options.new_farm = true;
  CHECK(run_command("keys", options).ok());
  struct stat file {};
  REQUIRE(stat(path.c_str(), &file) == 0);
  CHECK((file.st_mode & 077) == 0);  // for the hub's own user alone
}

TEST_CASE("a manager's phone sees who has joined, changes it, and nobody else does") {
  RunningHub hub;
  const std::string first = hub.next_code(), manager = hub.join();
  hub.next_code(first);
  const auto ask_for = [&](const std::string& key, std::string_view path, const std::string& body) {
    return post(hub.port(), std::string(path), key, body);
  };
  const std::string coded =
      body_of(ask_for(manager, path_code, R"({"v":1,"role":"lead","person":"p3","name":"tab 3"})"));
  const std::string code = sync::read_envelope(coded)->head["code"];
  const std::string joined =
      post(hub.port(), "/v1/join", "", write(sync::JoinRequest{code, "what it calls itself"}));
  REQUIRE(status_of(joined) == 200);
  const std::string lead = sync::read_join_reply(*sync::read_envelope(body_of(joined)))->bearer;
  CHECK(status_of(ask_for(lead, path_keys, "{}")) == 403);
  CHECK(status_of(ask_for("nobody", path_keys, "{}")) == 401);
  const auto keys = [&] {
    const std::string body = body_of(ask_for(manager, path_keys, R"({"v":1})"));
    return nlohmann::json::parse(body)["keys"];
  };
  REQUIRE(keys().size() == 2);
  CHECK(keys()[0]["role"] == "manager");
  CHECK(keys()[1]["role"] == "lead");
  CHECK(keys()[1]["name"] == "tab 3");
  CHECK(keys()[1]["person"] == "p3");
  CHECK(status_of(ask_for(manager, path_change_key,
                          R"({"v":1,"id":2,"name":"Ana's","role":"pruner"})")) == 200);
  CHECK(keys()[1]["name"] == "Ana's");
  CHECK(keys()[1]["role"] == "pruner");
  CHECK(keys()[1]["person"] == "p3");
  CHECK(status_of(ask_for(manager, path_change_key, R"({"v":1,"id":2,"withdraw":true})")) == 200);
  CHECK(keys()[1]["withdrawn_ms"] > 0);
  CHECK(status_of(post(hub.port(), "/v1/pull", lead, write(sync::PullRequest{{}, 5}))) == 401);
  CHECK(status_of(ask_for(manager, path_change_key, R"({"v":1,"id":99})")) == 400);
  CHECK(status_of(ask_for(manager, path_code, R"({"v":1,"role":"king"})")) == 400);
}

TEST_CASE("the only manager's key could be withdrawn from the app, and nobody could undo it") {
  RunningHub hub;
  const std::string first = hub.next_code(), manager = hub.join();
  const auto change = [&](const std::string& body) {
    return post(hub.port(), std::string(path_change_key), manager, body);
  };
  for (const char* body : {R"({"v":1,"id":1,"withdraw":true})", R"({"v":1,"id":1,"role":"lead"})"}) {
    const std::string told = change(body);
    CHECK(status_of(told) == 400);
    CHECK(told.find("last_manager") != std::string::npos);
  }
  const std::string listed = body_of(post(hub.port(), std::string(path_keys), manager, "{}"));
  CHECK(nlohmann::json::parse(listed)["asking"] == 1);
  hub.next_code(first);
  hub.join();
  CHECK(status_of(change(R"({"v":1,"id":2,"role":"manager"})")) == 200);
  CHECK(status_of(change(R"({"v":1,"id":1,"withdraw":true})")) == 200);
}

TEST_CASE("a person's name is forgotten everywhere, and what they counted stays") {
  RunningHub hub;
  const std::string key = hub.join();
  std::vector<std::string> bytes;
  sync::PushRequest push{RunningHub::device, {}, {}, {}};
  const auto add = [&](ledger::Body body) {
    const auto sequence = bytes.size() + 1;
    bytes.push_back(test::record_of(RunningHub::device, sequence, static_cast<int>(sequence),
                                    std::move(body), "p3").bytes);
    push.ids.push_back({RunningHub::device, sequence});
  };
  add(ledger::PersonSettings{{"p3", "A Name", orchard::Role::pruner, true}});
  add(test::tag(1, 1, 100));
  add(ledger::PersonSettings{{"p3", "P3", orchard::Role::pruner, false}});
  push.lines.assign(bytes.begin(), bytes.end());
  hub.now_ms += 3600000;
  REQUIRE(status_of(post(hub.port(), "/v1/push", key, write(push))) == 200);
  const std::string forgot =
      body_of(post(hub.port(), std::string(path_forget), key, R"({"v":1,"person":"p3"})"));
  CHECK(forgot == R"({"v":1,"removed":1})");
  const std::string pulled =
      body_of(post(hub.port(), "/v1/pull", key, write(sync::PullRequest{{}, 200})));
  CHECK(pulled.find("A Name") == std::string::npos);
  CHECK(pulled.find("\"spurs\":100") != std::string::npos);
  CHECK(pulled.find("\"gone\":[\"" + RunningHub::device.text() + "-1\"]") != std::string::npos);
}

TEST_CASE("one phone filled the disk with lines that are no records") {
  RunningHub hub;
  const std::string key = hub.join();
  int refused = 0;
  for (std::uint64_t batch = 0; batch < 15; ++batch) {
    sync::PushRequest push{RunningHub::device, {}, {}, {}};
    for (std::uint64_t i = 1; i <= 200; ++i) {
      push.ids.push_back({RunningHub::device, 200 * batch + i});
      push.lines.push_back("garbage");
    }
    const std::string answer = post(hub.port(), "/v1/push", key, write(push));
    refused += status_of(answer) == 429 && answer.find("\"quota\"") != std::string::npos;
  }
  CHECK(refused == 5);
  SUBCASE("and goes on today") {}
  SUBCASE("and a restart gave it another day's quota") {
    hub.start_again();
    const ledger::RecordId id{RunningHub::device, 3500};
    const sync::PushRequest push{RunningHub::device, {id}, {"garbage"}, {}};
    CHECK(status_of(post(hub.port(), "/v1/push", key, write(push))) == 429);
  }
  // It is told, and its records go on.
  CHECK(status_of(post(hub.port(), "/v1/push", key, push_of(4001, 4003))) == 200);
}

TEST_CASE("what was set aside for a role stayed aside when the manager raised the role") {
  RunningHub hub;
  const std::string first = hub.next_code(), manager = hub.join();
  hub.next_code(first);
  const std::string pruner = hub.join();  // shows the text of the device, and owns it from now on
  const auto record = test::record_of(RunningHub::device, 1, 1,
                                      ledger::CheckCount{"b1", {1, 1}, 120, 100}, "p3");
  const sync::PushRequest push{RunningHub::device, {record.id}, {record.bytes}, {}};
  REQUIRE(status_of(post(hub.port(), "/v1/push", pruner, write(push))) == 200);
  const auto pulled = [&] {
    return body_of(post(hub.port(), "/v1/pull", manager, write(sync::PullRequest{{}, 200})));
  };
  CHECK(pulled().find("\"role\"") != std::string::npos);
  const auto change = [&](const std::string& body) {
    return body_of(post(hub.port(), std::string(path_change_key), manager, body));
  };
  CHECK(change(R"({"v":1,"id":2,"name":"gate"})") == R"({"v":1,"set_aside":0,"counted":0})");
  CHECK(change(R"({"v":1,"id":2,"role":"lead"})") == R"({"v":1,"set_aside":0,"counted":1})");
  CHECK(pulled().find("\"role\"") == std::string::npos);
}

TEST_CASE("the farm's records come out as a ledger file, without those that count nowhere") {
  test::TemporaryFolder folder;
  const auto counted = test::record_of(RunningHub::device, 1, 0, test::tag(1, 1, 100), "p3");
  const auto outside = test::record_of(RunningHub::device, 2, 1,
                                       ledger::CheckCount{"b1", {1, 1}, 120, 100}, "p3");
  {
    auto store = open_sqlite_store(folder / "hub.sqlite");
    REQUIRE(store.ok());
    sync::HubSide side(**store);
    REQUIRE(side.open().ok());
    (*store)->begin();
    for (const ledger::Record* record : {&counted, &outside}) {
      sync::PushRequest push{RunningHub::device, {record->id}, {record->bytes}, {}};
      const auto request = sync::read_hub_request(sync::path_push, write(push));
      side.take(*request, {7, "tablet #7", "p3", orchard::Role::pruner}, test::monday_ms);
    }
    REQUIRE((*store)->commit().ok());
  }
  Options options;
  options.data = folder.path();
  options.argument = folder / "season.jsonl";
  REQUIRE(run_command("export", options).ok());
  std::ifstream file(options.argument);
  CHECK(std::string{std::istreambuf_iterator<char>(file), {}} == counted.bytes + "\n");
  options.argument = folder / "none/season.jsonl";
  CHECK_FALSE(run_command("export", options).ok());
}

TEST_CASE("the first phone is the manager's, the next ones pruners'") {
  RunningHub hub;
  const std::string first = hub.next_code();
  hub.join();
  hub.next_code(first);
  hub.join();
  auto store = open_sqlite_store(hub.folder / "hub.sqlite");
  const auto keys = (*store)->keys();
  REQUIRE(keys.ok());
  REQUIRE(keys->size() == 2);
  CHECK(keys->at(0).role == orchard::Role::manager);
  CHECK(keys->at(1).role == orchard::Role::pruner);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::hub
