// SPDX-License-Identifier: Apache-2.0
//
// One connection, plain or TLS: reads requests within their limits and deadlines, asks the service,
// writes the answers. All its work runs on its own strand; it lives as long as something is under
// way.
#pragma once

#include <boost/asio.hpp>
#include <boost/beast.hpp>
#include <boost/beast/ssl.hpp>
#include <chrono>
#include <optional>
#include <string>
#include <type_traits>

#include "hub/connections.h"
#include "hub/server.h"

namespace nthtree::hub {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
using tcp = asio::ip::tcp;
using PlainStream = beast::tcp_stream;
using TlsStream = beast::ssl_stream<beast::tcp_stream>;

// A request head fits here; a body is read straight into the message.
inline constexpr std::size_t buffer_bytes_max = 64 * 1024;

HttpRequest head_of(const http::request_header<>& head, const std::string& address);

struct Host {  // what a session asks of whoever opened it
  const Farms& farms;
  std::shared_ptr<Connections> connections;
  const ServerSettings& settings;
};

template <class Stream>
class Session : public Guest, public std::enable_shared_from_this<Session<Stream>> {
 public:
  template <class... Tls>
  Session(tcp::socket socket, std::string address, Door door, Host host, Tls&... tls)
      : stream_(std::move(socket), tls...), address_(std::move(address)), door_(door),
        host_(std::move(host)), service_(&host_.farms.first()) {}
  ~Session() override {
    host_.connections->works(turn_);
    host_.connections->leave(address_);
  }

  void run() {
    asio::dispatch(stream_.get_executor(), [self = this->shared_from_this()] { self->greet(); });
  }
  void give_up() override {
    asio::dispatch(stream_.get_executor(), [self = this->shared_from_this()] {
      if (self->turn_ != 0) self->cut();
    });
  }

 private:
  static constexpr bool is_tls = std::is_same_v<Stream, TlsStream>;

  void greet() {
    if constexpr (!is_tls) return read_head(true);
    if constexpr (is_tls) {
      expires_after(host_.settings.read_seconds);
      stream_.async_handshake(asio::ssl::stream_base::server,
                              [self = this->shared_from_this()](beast::error_code error) {
                                error ? self->cut() : self->read_head(true);
                              });
    }
  }

  static bool is_of_http(beast::error_code error) {
    return error.category() == http::make_error_code(http::error::bad_method).category();
  }

  void expires_after(int seconds) {
    beast::get_lowest_layer(stream_).expires_after(std::chrono::seconds(seconds));
  }

  void read_head(bool first) {
    if (host_.connections->stopping) return close();
    turn_ = host_.connections->waits(this->weak_from_this(), address_);
    parser_.emplace();
    parser_->header_limit(header_bytes_max);
    parser_->body_limit(sync::body_bytes_max);
    // Between requests a phone may be silent for a while; a new connection may not.
    expires_after(first ? host_.settings.read_seconds : host_.settings.idle_seconds);
    http::async_read_header(stream_, buffer_, *parser_,
                            [self = this->shared_from_this()](beast::error_code error,
                                                              std::size_t) {
                              self->on_head(error);
                            });
  }

  void on_head(beast::error_code error) {
    host_.connections->works(std::exchange(turn_, 0));
    started_ = std::chrono::steady_clock::now();
    if (error == http::error::header_limit) return refuse(431);
    if (error == http::error::body_limit) return refuse(413);
    if (error && (error == http::error::end_of_stream || !is_of_http(error))) {
      return cut();  // of the network, or of TLS: nobody listens any more
    }
    if (error) return refuse(400);
    ++host_.connections->busy;
    request_ = head_of(parser_->get().base(), address_);
    request_.door = door_;
    Service* const asked = host_.farms.of(request_);
    service_ = asked ? asked : &host_.farms.first();
    if (!asked) return send(no_such_farm());
    if (auto refusal = service_->refuse_early(request_)) {
      refusal->close = !parser_->is_done();
      return send(std::move(*refusal));
    }
    const std::size_t body_max = service_->body_bytes_max(request_);
    if (parser_->content_length() && *parser_->content_length() > body_max) return send(too_long());
    parser_->body_limit(body_max);
    expires_after(host_.settings.read_seconds);
    http::async_read(stream_, buffer_, *parser_,
                     [self = this->shared_from_this()](beast::error_code e, std::size_t) {
                       self->on_body(e);
                     });
  }

  HttpReply no_such_farm() const {
    HttpReply reply = service_->error_reply(421, "wrong_host", "no farm here has this name");
    reply.close = true;  // its body is not read
    return reply;
  }

  HttpReply too_long() const {
    HttpReply reply = service_->error_reply(413, "too_long", "the body is too long");
    reply.close = true;
    return reply;
  }

  void on_body(beast::error_code error) {
    if (error == http::error::body_limit) return send(too_long());
    if (error) {
      --host_.connections->busy;
      return close();
    }
    request_.body = std::move(parser_->get().body());
    service_->handle(
        std::move(request_), [self = this->shared_from_this()](HttpReply reply) {
          asio::dispatch(self->stream_.get_executor(), [self, reply = std::move(reply)]() mutable {
            self->send(std::move(reply));
          });
        });
  }

  // An answer to what is not HTTP, or not within its limits.
  void refuse(int status) {
    ++host_.connections->busy;
    HttpReply reply = service_->error_reply(status, "bad_request",
                                                "this request cannot be read");
    reply.close = true;
    send(std::move(reply));
  }

  void send(HttpReply reply) {
    reply_ = std::move(reply);
    const bool is_read = parser_->is_header_done();
    const bool is_head = is_read && parser_->get().method() == http::verb::head;
    const bool keep = !reply_.close && is_read && parser_->get().keep_alive() &&
                      !host_.connections->stopping;
    message_.emplace();
    message_->result(static_cast<unsigned>(reply_.status));
    message_->version(11);
    for (const auto& [name, value] : reply_.headers) message_->insert(name, value);
    message_->keep_alive(keep);
    const std::string_view body = reply_.body();
    if (reply_.status != 304) message_->content_length(body.size());
    if (!is_head) message_->body() = {body.data(), body.size()};
    expires_after(write_seconds_max);
    serializer_.emplace(*message_);
    const auto sent = [self = this->shared_from_this(), keep](beast::error_code error,
                                                              std::size_t) {
      --self->host_.connections->busy;
      self->tell_time();
      if (error || !keep) return self->close();
      self->read_head(false);
    };
    if (is_head) {
      http::async_write_header(stream_, *serializer_, sent);
    } else {
      http::async_write(stream_, *serializer_, sent);
    }
  }

  void tell_time() {
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - started_;
    service_->metrics().answered(reply_.status, took.count());
  }

  void close() {
    if constexpr (is_tls) {
      expires_after(1);  // a friend answers at once
      stream_.async_shutdown(
          [self = this->shared_from_this()](beast::error_code) { self->cut(); });
    } else {
      cut();
    }
  }
  void cut() {
    beast::error_code ignored;
    auto& lowest = beast::get_lowest_layer(stream_);
    lowest.socket().shutdown(tcp::socket::shutdown_send, ignored);
    lowest.close();
  }

  Stream stream_;
  beast::flat_buffer buffer_{buffer_bytes_max};
  std::string address_;
  const Door door_;
  std::uint64_t turn_ = 0;  // while it waits for a request
  Host host_;
  Service* service_;  // of the request under way
  std::chrono::steady_clock::time_point started_;
  std::optional<http::request_parser<http::string_body>> parser_;
  HttpRequest request_;
  HttpReply reply_;
  std::optional<http::response<http::span_body<const char>>> message_;
  std::optional<http::response_serializer<http::span_body<const char>>> serializer_;
};

}  // namespace nthtree::hub
