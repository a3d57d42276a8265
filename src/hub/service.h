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
#include <optional>
#include <string>

#include "hub/http.h"
#include "hub/keys.h"
#include "hub/limits.h"
#include "hub/rate_limit.h"
#include "hub/site.h"
#include "hub/writer.h"

namespace nthtree::hub {

struct ServiceSettings {
  bool behind_tls = false;  // something in front speaks https: HSTS is sent
  std::int64_t code_minutes = code_minutes_default;
  std::function<std::int64_t()> wall_ms;
  // Told whenever there is a new join code: at the start and after one was used.
  std::function<void(const std::string& code)> show_code;
};

class Service {
 public:
  using Done = std::function<void(HttpReply)>;

  Service(ServiceSettings settings, Site site, Writer& writer);

  // Loads the keys and makes the first join code. Blocks until the store has answered.
  base::Status start();

  // An answer that needs no body, given from the head alone; empty where the body is wanted.
  std::optional<HttpReply> refuse_early(const HttpRequest& head);
  std::size_t body_bytes_max(const HttpRequest& head) const;

  void handle(HttpRequest request, const Done& done);

 private:
  std::optional<HttpReply> refuse_foreign(const HttpRequest& head) const;
  std::optional<HttpReply> refuse_stranger(const HttpRequest& head);
  void handle_join(const HttpRequest& request, const Done& done);
  void handle_sync(HttpRequest request, const Done& done);
  HttpReply file_reply(const HttpRequest& request) const;
  HttpReply health() const;
  HttpReply reply(int status, std::string body) const;
  HttpReply error_reply(int status, const char* id, const char* what) const;
  HttpReply code_refused(CodeUse use) const;
  void make_code();
  double seconds() const { return static_cast<double>(settings_.wall_ms()) / 1000; }

  ServiceSettings settings_;
  Site site_;
  Writer& writer_;
  Keys keys_;
  RateLimit requests_{requests_burst, requests_per_second};
  RateLimit joins_{joins_burst, joins_per_second};
  RateLimit joins_by_address_{joins_burst_per_address, joins_per_second_per_address};
};

}  // namespace nthtree::hub
