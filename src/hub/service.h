// SPDX-License-Identifier: Apache-2.0
//
// What the hub answers to each request: who may ask, what is refused before its body is read, the
// app's files, joining, and the sync requests, which go to the writer.
//
// Not here: sockets (server.h) and records (sync/hub_side.h).
// Thread safe; answers may come on the writer's thread.
//
//   if (auto refusal = service.refuse_early(request)) return send(*refusal);
//   service.handle(std::move(request), [](HttpReply reply) { … });
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <set>
#include <string>

#include "hub/http.h"
#include "hub/keys.h"
#include "hub/limits.h"
#include "hub/metrics.h"
#include "hub/rate_limit.h"
#include "hub/site.h"
#include "hub/writer.h"

namespace nthtree::hub {

double steady_clock_seconds();

struct ServiceSettings {
  bool is_https = false;  // here or in front: HSTS is sent
  std::vector<std::string> hosts;  // names it answers to; empty: any
  std::int64_t code_minutes = code_minutes_default;
  std::function<std::int64_t()> wall_ms;
  // For the limits: a wall clock that is set must neither block nor free anybody.
  std::function<double()> steady_seconds = steady_clock_seconds;
  // The address of a proxy whose X-Forwarded-For is believed; empty: nobody's is.
  std::string trusted_proxy;
  // Of the codes that are shown; empty: the manager's until there is one, then pruners'.
  std::optional<orchard::Role> code_role;
  // When the newest backup that the hub makes itself was made; 0: none. Empty: it makes none.
  std::function<std::int64_t()> last_backup_ms;
  std::int64_t backup_hours = 24;  // between two of them; none for twice as long is an alarm
  // Told whenever there is a new join code: at the start and after one was used.
  std::function<void(const std::string& code, orchard::Role role)> show_code;
};

// For a manager's phone; PROTOCOL.md of sync has what they take and answer.
using sync::path_change_key;
using sync::path_code;
using sync::path_forget;
using sync::path_keys;
bool is_office(std::string_view path);
bool is_page(std::string_view path);  // for a browser without the app, behind the same key

// The secret from "Authorization: Bearer …".
std::string_view secret_of(const HttpRequest& head);

class Service {
 public:
  using Done = std::function<void(HttpReply)>;

  Service(ServiceSettings settings, std::shared_ptr<const Site> site, Writer& writer);

  // Loads the keys: before anybody may ask. Blocks until the store has answered.
  base::Status load();
  // Makes the first join code.
  void start() { make_code(); }

  // An answer that needs no body, given from the head alone; empty where the body is wanted.
  std::optional<HttpReply> refuse_early(const HttpRequest& head);
  std::size_t body_bytes_max(const HttpRequest& head) const;

  void handle(HttpRequest request, const Done& done);

  HttpReply error_reply(int status, const char* id, const char* what) const;
  Metrics& metrics() { return metrics_; }

 private:
  std::optional<HttpReply> refuse_foreign(const HttpRequest& head) const;
  std::optional<HttpReply> refuse_stranger(const HttpRequest& head);
  void handle_join(const HttpRequest& request, const Done& done);
  void handle_sync(HttpRequest request, const Done& done);
  void handle_office(const HttpRequest& request, const Done& done);
  std::optional<HttpReply> refuse_page(const HttpRequest& head);
  void handle_page(const HttpRequest& request, const Done& done);
  HttpReply page_reply(std::string type, std::string body) const;
  void give_code(const nlohmann::json& asked, const Done& done);
  std::optional<HttpReply> over_quota(const sync::HubRequest& request, std::size_t bytes,
                                      std::int64_t key);
  HttpReply file_reply(const HttpRequest& request) const;
  void handle_health(const Done& done);
  HttpReply metrics_reply() const;
  std::string backup_fields() const;  // of an answer: ,"backup_ms":…,"backup_old":…; or nothing
  bool is_backup_old() const;
  bool is_own_name(const HttpRequest& head) const;
  HttpReply reply(int status, std::string body) const;
  HttpReply code_refused(CodeUse use) const;
  HttpReply refuse_key(std::string_view secret);
  using CodeMade = std::function<void(const base::Status&, const std::string& code)>;
  void make_code();
  void make_code(const CodeFor& who, std::int64_t minutes, const CodeMade& made);
  std::string address_of(const HttpRequest& request) const;
  void read_keys(Store& store);
  void remember_quotas(Store& store);
  bool is_code(const sync::Digest& hash);

  ServiceSettings settings_;
  std::shared_ptr<const Site> site_;  // farms of one process have the same
  Writer& writer_;
  Keys keys_;
  Metrics metrics_;
  std::mutex health_mutex_;
  std::optional<HttpReply> health_;  // of the last try
  double health_seconds_ = 0;
  std::mutex codes_mutex_;
  std::set<sync::Digest> codes_;
  RateLimit requests_{requests_burst, requests_per_second};
  RateLimit records_{records_burst, records_per_second};
  RateLimit bytes_{record_bytes_burst, record_bytes_per_second};
  RateLimit garbage_{garbage_burst, garbage_per_second};
  RateLimit joins_{joins_burst, joins_per_second};
  RateLimit joins_by_address_{joins_burst_per_address, joins_per_second_per_address};
};

}  // namespace nthtree::hub
