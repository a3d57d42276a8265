// SPDX-License-Identifier: Apache-2.0
//
// The hub's HTTP/1.1 server on Boost.Beast: sockets, time-outs and connection limits; what to
// answer is the service's.
//
// With a certificate and its key it speaks TLS, and nothing else at that door; `load_tls` reads
// both again, for connections to come. A second door, always plain, gives the counts to a monitor.
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
#include "hub/farms.h"

namespace nthtree::hub {

struct ServerSettings {
  int threads = 2;
  int read_seconds = read_seconds_max;
  int idle_seconds = idle_seconds_max;
  int connections = connections_max;
  int connections_per_address = connections_per_address_max;
  std::string tls_certificate, tls_key;  // PEM files; empty: plain
};

class Server {
 public:
  explicit Server(Service& service, ServerSettings settings = {});
  explicit Server(Farms farms, ServerSettings settings = {});
  ~Server();

  // Port 0 takes a free one. The app's door comes last: from then on everybody is answered.
  base::Status listen(const std::string& host, unsigned short port, Door door = Door::app);
  // Where the files cannot be used, those read before stay.
  base::Status load_tls();
  unsigned short port(Door door = Door::app) const;
  std::size_t waiting() const;  // connections on which no request is under way
  // Takes no new requests, lets those under way end (three seconds at most), closes everything.
  void stop();

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace nthtree::hub
