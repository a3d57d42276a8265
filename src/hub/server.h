// SPDX-License-Identifier: Apache-2.0
//
// The hub's HTTP/1.1 server on Boost.Beast: sockets, time-outs and connection limits; what to
// answer is the service's.
//
// Every read and write has a deadline, headers and bodies have their limit, and a request that is
// refused from its head alone has its body never read.
//
//   Server server(service);
//   server.listen("127.0.0.1", 0);
//   … server.port() …
//   server.stop();
#pragma once

#include <memory>
#include <string>

#include "base/result.h"
#include "hub/service.h"

namespace nthtree::hub {

struct ServerSettings {
  int threads = 2;
  int read_seconds = read_seconds_max;
  int idle_seconds = idle_seconds_max;
  int connections = connections_max;
  int connections_per_address = connections_per_address_max;
};

class Server {
 public:
  explicit Server(Service& service, ServerSettings settings = {});
  ~Server();

  // Port 0 takes a free one.
  base::Status listen(const std::string& host, unsigned short port);
  unsigned short port() const;
  // Takes no new requests, lets those under way end (three seconds at most), closes everything.
  void stop();

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace nthtree::hub
