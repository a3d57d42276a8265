// SPDX-License-Identifier: Apache-2.0
#include "hub/server.h"

#include <boost/asio.hpp>
#include <boost/beast.hpp>
#include <map>
#include <thread>
#include <vector>

namespace nthtree::hub {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
using tcp = asio::ip::tcp;

// A request head fits here; a body is read straight into the message.
constexpr std::size_t buffer_bytes_max = 64 * 1024;

class Session;

// Who is connected, for the limits and for a clean end. Where there is no room, whoever has been
// silent longest between two requests makes it.
class Connections {
 public:
  Connections(int all, int per_address) : all_max_(all), per_address_max_(per_address) {}

  bool enter(const std::string& address);
  void leave(const std::string& address) {
    const std::lock_guard lock(mutex_);
    --all_;
    if (--by_address_[address] <= 0) by_address_.erase(address);
  }
  // A session waits for its next request; the number it stands under meanwhile.
  std::uint64_t waits(std::weak_ptr<Session> session, const std::string& address) {
    const std::lock_guard lock(mutex_);
    idle_[++turn_] = {std::move(session), address};
    return turn_;
  }
  void works(std::uint64_t turn) {
    const std::lock_guard lock(mutex_);
    idle_.erase(turn);
  }

  std::atomic<int> busy = 0;  // requests under way
  std::atomic<bool> stopping = false;

 private:
  struct Idle {
    std::weak_ptr<Session> session;
    std::string address;
  };
  std::shared_ptr<Session> take_longest_idle(const std::string& address);

  std::mutex mutex_;
  const int all_max_, per_address_max_;
  int all_ = 0;
  std::uint64_t turn_ = 0;
  std::map<std::uint64_t, Idle> idle_;  // longest first
  std::map<std::string, int> by_address_;
};

std::string text_of(beast::string_view view) { return {view.data(), view.size()}; }

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

// One connection. All its work runs on its own strand; it lives as long as something is under way.
class Session : public std::enable_shared_from_this<Session> {
 public:
  Session(tcp::socket socket, std::string address, Service& service,
          std::shared_ptr<Connections> connections, const ServerSettings& settings)
      : stream_(std::move(socket)), address_(std::move(address)), service_(service),
        connections_(std::move(connections)), settings_(settings) {}
  ~Session() {
    connections_->works(turn_);
    connections_->leave(address_);
  }

  void run() {
    asio::dispatch(stream_.get_executor(), [self = shared_from_this()] { self->read_head(true); });
  }
  // Makes room for somebody else.
  void give_up() {
    asio::dispatch(stream_.get_executor(), [self = shared_from_this()] {
      if (self->turn_ != 0) self->close();
    });
  }

 private:
  void read_head(bool first) {
    if (connections_->stopping) return close();
    turn_ = connections_->waits(weak_from_this(), address_);
    parser_.emplace();
    parser_->header_limit(header_bytes_max);
    parser_->body_limit(sync::body_bytes_max);
    // Between requests a phone may be silent for a while; a new connection may not.
    stream_.expires_after(
        std::chrono::seconds(first ? settings_.read_seconds : settings_.idle_seconds));
    http::async_read_header(stream_, buffer_, *parser_,
                            [self = shared_from_this()](beast::error_code error, std::size_t) {
                              self->on_head(error);
                            });
  }

  void on_head(beast::error_code error) {
    connections_->works(std::exchange(turn_, 0));
    if (error == http::error::header_limit) return refuse(431);
    if (error == http::error::body_limit) return refuse(413);
    if (error == http::error::end_of_stream || error == beast::error::timeout ||
        error == asio::error::connection_reset || error == asio::error::operation_aborted) {
      return close();
    }
    if (error) return refuse(400);
    ++connections_->busy;
    request_ = head_of(parser_->get().base(), address_);
    if (auto refusal = service_.refuse_early(request_)) {
      refusal->close = !parser_->is_done();
      return send(std::move(*refusal));
    }
    const std::size_t body_max = service_.body_bytes_max(request_);
    if (parser_->content_length() && *parser_->content_length() > body_max) return send(too_long());
    parser_->body_limit(body_max);
    stream_.expires_after(std::chrono::seconds(settings_.read_seconds));
    http::async_read(stream_, buffer_, *parser_,
                     [self = shared_from_this()](beast::error_code e, std::size_t) {
                       self->on_body(e);
                     });
  }

  static HttpReply too_long() {
    HttpReply reply;
    reply.status = 413;
    reply.own_body = sync::write_error({"too_long", "the body is too long", ""});
    reply.headers = {{"Content-Type", "application/json"}};
    reply.close = true;
    return reply;
  }

  void on_body(beast::error_code error) {
    if (error == http::error::body_limit) return send(too_long());
    if (error) {
      --connections_->busy;
      return close();
    }
    request_.body = std::move(parser_->get().body());
    service_.handle(std::move(request_), [self = shared_from_this()](HttpReply reply) {
      asio::dispatch(self->stream_.get_executor(), [self, reply = std::move(reply)]() mutable {
        self->send(std::move(reply));
      });
    });
  }

  // An answer to what is not HTTP, or not within its limits.
  void refuse(unsigned status) {
    ++connections_->busy;
    HttpReply reply;
    reply.status = static_cast<int>(status);
    reply.headers = {{"Content-Type", "application/json"}};
    reply.own_body = sync::write_error({"bad_request", "this request cannot be read", ""});
    reply.close = true;
    send(std::move(reply));
  }

  void send(HttpReply reply) {
    reply_ = std::move(reply);
    const bool is_head = parser_->is_header_done() && parser_->get().method() == http::verb::head;
    const bool keep = !reply_.close && parser_->is_header_done() && parser_->get().keep_alive() &&
                      !connections_->stopping;
    message_.emplace();
    message_->result(static_cast<unsigned>(reply_.status));
    message_->version(11);
    for (const auto& [name, value] : reply_.headers) message_->insert(name, value);
    message_->keep_alive(keep);
    const std::string_view body = reply_.body();
    if (reply_.status != 304) message_->content_length(body.size());
    if (!is_head) message_->body() = {body.data(), body.size()};
    stream_.expires_after(std::chrono::seconds(write_seconds_max));
    serializer_.emplace(*message_);
    const auto sent = [self = shared_from_this(), keep](beast::error_code error, std::size_t) {
      --self->connections_->busy;
      if (error || !keep) return self->close();
      self->read_head(false);
    };
    if (is_head) {
      http::async_write_header(stream_, *serializer_, sent);
    } else {
      http::async_write(stream_, *serializer_, sent);
    }
  }

  void close() {
    beast::error_code ignored;
    stream_.socket().shutdown(tcp::socket::shutdown_send, ignored);
    stream_.close();
  }

  beast::tcp_stream stream_;
  beast::flat_buffer buffer_{buffer_bytes_max};
  std::string address_;
  std::uint64_t turn_ = 0;  // while it waits for a request
  Service& service_;
  std::shared_ptr<Connections> connections_;
  const ServerSettings& settings_;
  std::optional<http::request_parser<http::string_body>> parser_;
  HttpRequest request_;
  HttpReply reply_;
  std::optional<http::response<http::span_body<const char>>> message_;
  std::optional<http::response_serializer<http::span_body<const char>>> serializer_;
};

// Of this address where there is one, else of any.
std::shared_ptr<Session> Connections::take_longest_idle(const std::string& address) {
  for (auto idle = idle_.begin(); idle != idle_.end();) {
    if (!address.empty() && idle->second.address != address) {
      ++idle;
      continue;
    }
    auto session = idle->second.session.lock();
    idle = idle_.erase(idle);
    if (session) return session;
  }
  return nullptr;
}

bool Connections::enter(const std::string& address) {
  std::shared_ptr<Session> evicted;  // ends outside the lock
  {
    const std::lock_guard lock(mutex_);
    const bool all_taken = all_ >= all_max_;
    if (all_taken || by_address_[address] >= per_address_max_) {
      evicted = take_longest_idle(all_taken ? "" : address);
      if (!evicted) return false;
    }
    ++all_;
    ++by_address_[address];
  }
  if (evicted) evicted->give_up();
  return true;
}

}  // namespace

struct Server::Inside {
  Inside(Service& s, ServerSettings given)
      : service(s), settings(given), context(given.threads), acceptor(context),
        connections(std::make_shared<Connections>(given.connections,
                                                  given.connections_per_address)) {}

  void accept() {
    acceptor.async_accept(asio::make_strand(context), [this](beast::error_code error,
                                                             tcp::socket socket) {
      if (error == asio::error::operation_aborted || connections->stopping) return;
      if (!error) begin(std::move(socket));
      accept();
    });
  }

  void begin(tcp::socket socket) {
    beast::error_code error;
    const auto peer = socket.remote_endpoint(error);
    if (error) return;
    const std::string address = peer.address().to_string();
    if (!connections->enter(address)) return;  // closed at once: nothing else is cheap enough
    socket.set_option(tcp::no_delay(true), error);
    std::make_shared<Session>(std::move(socket), address, service, connections, settings)->run();
  }

  Service& service;
  const ServerSettings settings;
  asio::io_context context;
  tcp::acceptor acceptor;
  std::shared_ptr<Connections> connections;
  std::vector<std::thread> threads;
};

Server::Server(Service& service, ServerSettings settings)
    : inside_(std::make_unique<Inside>(service, settings)) {}

Server::~Server() { stop(); }

base::Status Server::listen(const std::string& host, unsigned short port) {
  beast::error_code error;
  const auto address = asio::ip::make_address(host, error);
  const tcp::endpoint endpoint(address, port);
  auto& acceptor = inside_->acceptor;
  if (!error) acceptor.open(endpoint.protocol(), error);
  if (!error) acceptor.set_option(asio::socket_base::reuse_address(true), error);
  if (!error) acceptor.bind(endpoint, error);
  if (!error) acceptor.listen(asio::socket_base::max_listen_connections, error);
  if (error) {
    return base::Error{"cannot_listen", error.message(), host + ":" + std::to_string(port)};
  }
  inside_->accept();
  for (int i = 0; i < inside_->settings.threads; ++i) {
    inside_->threads.emplace_back([this] { inside_->context.run(); });
  }
  return base::Ok{};
}

unsigned short Server::port() const { return inside_->acceptor.local_endpoint().port(); }

void Server::stop() {
  if (inside_->threads.empty()) return;
  inside_->connections->stopping = true;
  asio::post(inside_->context, [this] {
    beast::error_code ignored;
    inside_->acceptor.close(ignored);
  });
  for (int i = 0; i < 300 && inside_->connections->busy > 0; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  inside_->context.stop();
  for (std::thread& thread : inside_->threads) thread.join();
  inside_->threads.clear();
}

}  // namespace nthtree::hub
