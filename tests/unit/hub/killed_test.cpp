// SPDX-License-Identifier: Apache-2.0
//
// The hub's own program, killed in the middle of its work: what it acknowledged must be there.
// NTHTREE_KILLS=200 kills it so many times.
#include <doctest/doctest.h>

#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <sys/wait.h>
#include <thread>

#include "raw_http.h"
#include "support/records.h"
#include "sync/message.h"
#include "temporary_folder.h"

namespace nthtree::hub {
namespace {

using test::body_of;
using test::post;
using test::status_of;

// A hub in a process of its own.
class HubProcess {
 public:
  explicit HubProcess(const std::string& data) {
    int ends[2];
    REQUIRE(pipe(ends) == 0);
    process_ = fork();
    if (process_ == 0) {
      dup2(ends[1], 1);
      close(ends[0]);
      execl(NTHTREE_HUB, "nthtree-hub", "--data", data.c_str(), "--listen", "127.0.0.1:0",
            static_cast<char*>(nullptr));
      _exit(127);
    }
    close(ends[1]);
    FILE* said = fdopen(ends[0], "r");
    char line[256];
    while ((port == 0 || code.empty()) && fgets(line, sizeof line, said)) {
      const std::string text(line);
      if (text.rfind("listening on ", 0) == 0) {
        port = static_cast<unsigned short>(std::stoi(text.substr(text.rfind(':') + 1)));
      }
      if (text.rfind("join code: ", 0) == 0) code = text.substr(11, 11);
    }
    said_ = said;
  }
  ~HubProcess() { end(SIGKILL); }

  int end(int signal) {
    if (process_ <= 0) return 0;
    kill(process_, signal);
    int status = 0;
    waitpid(process_, &status, 0);
    process_ = 0;
    fclose(said_);
    return status;
  }

  unsigned short port = 0;
  std::string code;

 private:
  pid_t process_ = 0;
  FILE* said_ = nullptr;
};

const std::string proof = "0123456789abcdef0123456789abcdef";
const ledger::DeviceKey device = sync::device_of_proof(proof);

std::string push_of(std::uint64_t sequence) {
  const auto record =
      test::record_of(device, sequence, 1, test::tag(1, 1, static_cast<int>(sequence)));
  return write(sync::PushRequest{device, {record.id}, {record.bytes}, {}});
}

TEST_SUITE("hub") {

TEST_CASE("a hub killed while phones send has everything it acknowledged, once") {
  const test::TemporaryFolder folder;
  std::string key;
  std::uint64_t next = 1, acknowledged = 0;
  const char* wanted = std::getenv("NTHTREE_KILLS");
  const int kills = wanted ? std::atoi(wanted) : 6;
  for (int round = 0; round < kills; ++round) {
    HubProcess hub(folder.path());
    REQUIRE(hub.port != 0);
    if (key.empty()) {
      const std::string joined =
          post(hub.port, "/v1/join", "", write(sync::JoinRequest{hub.code, "t"}));
      key = sync::read_join_reply(*sync::read_envelope(body_of(joined)))->bearer;
    }
    // Everything acknowledged before the last kill is still here.
    sync::HelloRequest hello{device, {}, {}, 1, {proof}};
    if (acknowledged) hello.have[device].add(1, acknowledged);
    const std::string greeted = post(hub.port, "/v1/hello", key, write(hello));
    REQUIRE(status_of(greeted) == 200);
    const auto reply = sync::read_hello_reply(*sync::read_envelope(body_of(greeted)));
    CHECK(reply->missing.empty());
    CHECK(reply->head >= acknowledged);
    std::thread killer([&hub, round] {
      std::this_thread::sleep_for(std::chrono::milliseconds(30 + 17 * round % 101));
      hub.end(SIGKILL);
    });
    for (int i = 0; i < 100000; ++i) {
      if (status_of(post(hub.port, "/v1/push", key, push_of(next))) != 200) break;
      acknowledged = next++;
    }
    killer.join();
  }
  CHECK(acknowledged > 0);
  MESSAGE(kills, " kills, ", acknowledged, " records acknowledged");
  HubProcess hub(folder.path());
  std::uint64_t records = 0;
  sync::Cursor cursor;
  for (bool more = true; more;) {
    const std::string pulled =
        body_of(post(hub.port, "/v1/pull", key, write(sync::PullRequest{cursor, 200})));
    const auto envelope = sync::read_envelope(pulled);
    REQUIRE(envelope.ok());
    const auto reply = sync::read_pull_reply(*envelope);
    REQUIRE(reply.ok());
    records += reply->lines.size();
    cursor = reply->cursor;
    more = reply->more;
  }
  CHECK(records >= acknowledged);
  CHECK(records <= acknowledged + 1);  // the one under way
  const int status = hub.end(SIGTERM);
  CHECK(WIFEXITED(status));
  CHECK(WEXITSTATUS(status) == 0);
}

TEST_CASE("a second hub in the folder of a running one is refused, and the first serves on") {
  const test::TemporaryFolder folder;
  HubProcess first(folder.path());
  REQUIRE(first.port != 0);
  HubProcess second(folder.path());
  CHECK(second.port == 0);
  const int status = second.end(0);
  CHECK(WIFEXITED(status));
  CHECK(WEXITSTATUS(status) != 0);
  const std::string joined =
      post(first.port, "/v1/join", "", write(sync::JoinRequest{first.code, "t"}));
  CHECK(status_of(joined) == 200);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::hub
