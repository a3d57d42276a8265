// SPDX-License-Identifier: Apache-2.0
//
// The real server on a free loopback port with a real SQLite file.
//
//   RunningHub hub;
//   post(hub.port(), "/v1/push", hub.join(), push_of(1, 3));
#pragma once

#include "hub/server.h"
#include "hub/store_postgresql.h"
#include "hub/store_sqlite.h"
#include "raw_http.h"
#include "support/records.h"
#include "temporary_folder.h"

namespace nthtree::test {

struct RunningHub {
  TemporaryFolder folder;
  std::atomic<std::int64_t> now_ms = monday_ms;
  std::mutex mutex;
  std::string code;
  std::unique_ptr<hub::Writer> writer;
  std::unique_ptr<hub::Service> service;
  std::unique_ptr<hub::Server> server;

  std::function<double()> steady_seconds = hub::steady_clock_seconds;
  std::string trusted_proxy;
  hub::ServerSettings server_settings;
  std::vector<std::string> hosts;
  std::function<std::int64_t()> last_backup_ms;
  std::string database, farm = "farm";  // empty: a file

  explicit RunningHub(hub::ServerSettings settings = {}, std::int64_t pages_max = 0,
                      std::function<void(RunningHub&)> set_up = {})
      : server_settings(settings) {
    if (set_up) set_up(*this);
    start(pages_max);
  }
  // From what is on the disk, as another process would.
  void start_again() {
    stop();
    start(0);
  }
  void stop() {
    server->stop();
    writer->stop();
    server.reset();
    service.reset();
    writer.reset();
  }
  void start(std::int64_t pages_max) {
    const auto clock = [this] { return now_ms.load(); };
    auto store = database.empty() ? hub::open_sqlite_store(folder / "hub.sqlite", {pages_max})
                                  : hub::open_postgresql_store({database, farm, true});
    REQUIRE(store.ok());
    writer = std::make_unique<hub::Writer>(std::move(*store), clock);
    REQUIRE(writer->start().ok());
    const auto site = std::make_shared<hub::Site>();
    site->add("/index.html", {"<p>hello", "BROTLI", "text/html; charset=utf-8", "\"tag\""});
    hub::ServiceSettings service_settings;
    service_settings.wall_ms = clock;
    service_settings.steady_seconds = steady_seconds;
    service_settings.trusted_proxy = trusted_proxy;
    service_settings.hosts = hosts;
    service_settings.last_backup_ms = last_backup_ms;
    service_settings.show_code = [this](const std::string& shown, orchard::Role) {
      const std::lock_guard lock(mutex);
      code = shown;
    };
    service = std::make_unique<hub::Service>(service_settings, site, *writer);
    server = std::make_unique<hub::Server>(*service, server_settings);
    REQUIRE(service->load().ok());
    REQUIRE(server->listen("127.0.0.1", 0, hub::Door::metrics).ok());
    REQUIRE(server->listen("127.0.0.1", 0).ok());
    service->start();
  }
  ~RunningHub() { stop(); }
  unsigned short port() const { return server->port(); }

  // The present code, once it is another than the last.
  std::string next_code(const std::string& last = "") {
    for (int i = 0; i < 500; ++i) {
      {
        const std::lock_guard lock(mutex);
        if (!code.empty() && code != last) return code;
      }
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    FAIL("no join code came");
    return "";
  }
  std::string join() {
    const std::string answer =
        post(port(), "/v1/join", "", write(sync::JoinRequest{next_code(), "tablet"}));
    REQUIRE(status_of(answer) == 200);
    const std::string key = sync::read_join_reply(*sync::read_envelope(body_of(answer)))->bearer;
    const sync::HelloRequest hello{device, {}, {}, 1, {proof}};
    REQUIRE(status_of(post(port(), "/v1/hello", key, write(hello))) == 200);
    return key;
  }
  inline static const std::string proof = "0123456789abcdef0123456789abcdef";
  inline static const ledger::DeviceKey device = sync::device_of_proof(proof);
};

inline std::string push_of(std::uint64_t first, std::uint64_t last) {
  const ledger::DeviceKey device = RunningHub::device;
  std::vector<std::string> bytes;
  sync::PushRequest push{device, {}, {}, {}};
  for (std::uint64_t s = first; s <= last; ++s) {
    bytes.push_back(record_of(device, s, 1, tag(1, 1, static_cast<int>(s))).bytes);
    push.ids.push_back({device, s});
  }
  for (const std::string& b : bytes) push.lines.push_back(b);
  return write(push);
}

}  // namespace nthtree::test
