// SPDX-License-Identifier: Apache-2.0
#include "hub/server.h"

#include <mutex>
#include <thread>
#include <vector>

#include "hub/session.h"

namespace nthtree::hub {
namespace {

std::string text_of(beast::string_view view) { return {view.data(), view.size()}; }

std::string name_of(const std::string& host, unsigned short port) {
  return host + ":" + std::to_string(port);
}

}  // namespace

HttpRequest head_of(const http::request_header<>& head, const std::string& address) {
  const auto field = [&](http::field name) { return text_of(head[name]); };
  HttpRequest request;
  request.method = text_of(head.method_string());
  request.target = text_of(head.target());
  request.address = address;
  request.host = field(http::field::host);
  request.origin = field(http::field::origin);
  request.sec_fetch_site = text_of(head["Sec-Fetch-Site"]);
  request.content_type = field(http::field::content_type);
  request.content_encoding = field(http::field::content_encoding);
  request.accept_encoding = field(http::field::accept_encoding);
  request.if_none_match = field(http::field::if_none_match);
  request.authorization = field(http::field::authorization);
  request.forwarded_for = text_of(head["X-Forwarded-For"]);
  return request;
}

struct Server::Inside {
  struct Entrance {
    Entrance(asio::io_context& context, Door d) : acceptor(context), door(d) {}
    tcp::acceptor acceptor;
    Door door;
  };

  Inside(Farms served, ServerSettings given)
      : farms(std::move(served)), settings(std::move(given)), context(settings.threads),
        connections(std::make_shared<Connections>(settings.connections,
                                                  settings.connections_per_address)) {}

  void accept(Entrance& entrance) {
    entrance.acceptor.async_accept(
        asio::make_strand(context), [this, &entrance](beast::error_code error, tcp::socket socket) {
          if (error == asio::error::operation_aborted || connections->stopping) return;
          if (!error) begin(std::move(socket), entrance.door);
          accept(entrance);
        });
  }

  void begin(tcp::socket socket, Door door) {
    beast::error_code error;
    const auto peer = socket.remote_endpoint(error);
    if (error) return;
    const std::string address = peer.address().to_string();
    if (!connections->enter(address)) return;  // closed at once: nothing else is cheap enough
    socket.set_option(tcp::no_delay(true), error);
    const Host host{farms, connections, settings};
    if (const auto present = door == Door::app ? present_tls() : nullptr) {
      // What OpenSSL keeps of the context lives as long as the session, also after a reload.
      std::make_shared<Session<TlsStream>>(std::move(socket), address, door, host, *present)->run();
    } else {
      std::make_shared<Session<PlainStream>>(std::move(socket), address, door, host)->run();
    }
  }

  std::shared_ptr<asio::ssl::context> present_tls() {
    const std::lock_guard lock(tls_mutex);
    return tls;
  }

  const Farms farms;
  const ServerSettings settings;
  asio::io_context context;
  std::vector<std::unique_ptr<Entrance>> entrances;
  std::shared_ptr<Connections> connections;
  std::mutex tls_mutex;
  std::shared_ptr<asio::ssl::context> tls;  // null: plain
  std::vector<std::thread> threads;
};

Server::Server(Service& service, ServerSettings settings)
    : Server(Farms(service), std::move(settings)) {}

Server::Server(Farms farms, ServerSettings settings)
    : inside_(std::make_unique<Inside>(std::move(farms), std::move(settings))) {}

Server::~Server() { stop(); }

// TLS 1.2 and 1.3 alone (OWASP ASVS 5.0, 12.1.1).
base::Status Server::load_tls() {
  const ServerSettings& settings = inside_->settings;
  if (settings.tls_certificate.empty()) return base::Ok{};
  using Context = asio::ssl::context;
  const auto tls = std::make_shared<Context>(Context::tls_server);
  beast::error_code error;
  tls->set_options(Context::default_workarounds | Context::no_sslv2 | Context::no_sslv3 |
                       Context::no_tlsv1 | Context::no_tlsv1_1,
                   error);
  std::string which = settings.tls_certificate;
  if (!error) tls->use_certificate_chain_file(settings.tls_certificate, error);
  if (!error) {
    which = settings.tls_key;
    tls->use_private_key_file(settings.tls_key, Context::pem, error);
  }
  if (error) return base::Error{"tls", "cannot be used: " + error.message(), which};
  if (SSL_CTX_check_private_key(tls->native_handle()) != 1) {
    return base::Error{"tls", "is not the certificate's key", which};
  }
  const std::lock_guard lock(inside_->tls_mutex);
  inside_->tls = tls;
  return base::Ok{};
}

base::Status Server::listen(const std::string& host, unsigned short port, Door door) {
  if (door == Door::app) {
    if (const auto loaded = load_tls(); !loaded) return loaded;
  }
  beast::error_code error;
  const auto address = asio::ip::make_address(host, error);
  const tcp::endpoint endpoint(address, port);
  auto& entrance = *inside_->entrances.emplace_back(
      std::make_unique<Inside::Entrance>(inside_->context, door));
  auto& acceptor = entrance.acceptor;
  if (!error) acceptor.open(endpoint.protocol(), error);
  if (!error) acceptor.set_option(asio::socket_base::reuse_address(true), error);
  if (!error) acceptor.bind(endpoint, error);
  if (!error) acceptor.listen(asio::socket_base::max_listen_connections, error);
  if (error) {
    inside_->entrances.pop_back();
    return base::Error{"cannot_listen", error.message(), name_of(host, port)};
  }
  inside_->accept(entrance);
  for (int i = 0; i < inside_->settings.threads && door == Door::app; ++i) {
    inside_->threads.emplace_back([this] { inside_->context.run(); });
  }
  return base::Ok{};
}

unsigned short Server::port(Door door) const {
  for (const auto& entrance : inside_->entrances) {
    if (entrance->door == door) return entrance->acceptor.local_endpoint().port();
  }
  return 0;
}

std::size_t Server::waiting() const { return inside_->connections->waiting(); }

void Server::stop() {
  if (inside_->threads.empty()) return;
  inside_->connections->stopping = true;
  asio::post(inside_->context, [this] {
    beast::error_code ignored;
    for (const auto& entrance : inside_->entrances) entrance->acceptor.close(ignored);
  });
  for (int i = 0; i < 300 && inside_->connections->busy > 0; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  inside_->context.stop();
  for (std::thread& thread : inside_->threads) thread.join();
  inside_->threads.clear();
}

}  // namespace nthtree::hub
