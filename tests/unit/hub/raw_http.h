// SPDX-License-Identifier: Apache-2.0
//
// A plain socket that says exactly what it is told, well-behaved or not.
#pragma once

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <string>
#include <string_view>

namespace nthtree::test {

class RawHttp {
 public:
  explicit RawHttp(unsigned short port) : socket_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
    sockaddr_in to{};
    to.sin_family = AF_INET;
    to.sin_port = htons(port);
    to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    open_ = connect(socket_, reinterpret_cast<sockaddr*>(&to), sizeof to) == 0;
  }
  ~RawHttp() { close(socket_); }
  RawHttp(const RawHttp&) = delete;
  RawHttp& operator=(const RawHttp&) = delete;

  bool open() const { return open_; }

  // How many bytes went out before the other side closed.
  std::size_t say(std::string_view text) {
    std::size_t sent = 0;
    while (sent < text.size()) {
      const ssize_t n = send(socket_, text.data() + sent, text.size() - sent, MSG_NOSIGNAL);
      if (n <= 0) break;
      sent += static_cast<std::size_t>(n);
    }
    return sent;
  }

  // One answer, head and body; what came so far where the other side closes or nothing comes.
  std::string hear(int wait_ms = 5000) {
    std::string text;
    for (;;) {
      const std::size_t head = text.find("\r\n\r\n");
      if (head != std::string::npos) {
        const std::size_t at = text.find("Content-Length: ");
        const std::size_t length = at < head ? std::stoul(text.substr(at + 16)) : 0;
        if (text.size() >= head + 4 + length) return text;
      }
      pollfd ready{socket_, POLLIN, 0};
      char bytes[65536];
      if (poll(&ready, 1, wait_ms) <= 0) return text;
      const ssize_t n = recv(socket_, bytes, sizeof bytes, 0);
      if (n <= 0) return text;
      text.append(bytes, static_cast<std::size_t>(n));
    }
  }

  // True where the other side has closed within the time.
  bool closed(int wait_ms) {
    for (;;) {
      pollfd ready{socket_, POLLIN, 0};
      if (poll(&ready, 1, wait_ms) <= 0) return false;
      char bytes[65536];
      if (recv(socket_, bytes, sizeof bytes, 0) <= 0) return true;
    }
  }

 private:
  int socket_;
  bool open_ = false;
};

inline int status_of(const std::string& answer) {
  return answer.size() > 12 ? std::atoi(answer.c_str() + 9) : 0;
}
inline std::string body_of(const std::string& answer) {
  const std::size_t head = answer.find("\r\n\r\n");
  return head == std::string::npos ? "" : answer.substr(head + 4);
}

// A whole request and its answer.
inline std::string ask(unsigned short port, const std::string& method, const std::string& target,
                       const std::string& headers = "", const std::string& body = "",
                       const std::string& host = "localhost") {
  RawHttp http(port);
  http.say(method + " " + target + " HTTP/1.1\r\nHost: " + host + "\r\n" + headers +
           (body.empty() && method != "POST"
                ? ""
                : "Content-Length: " + std::to_string(body.size()) + "\r\n") +
           "\r\n" + body);
  return http.hear();
}

inline const std::string json_type = "Content-Type: application/json\r\n";

inline std::string post(unsigned short port, const std::string& target, const std::string& bearer,
                        const std::string& body, const std::string& host = "localhost") {
  return ask(port, "POST", target,
             json_type + (bearer.empty() ? "" : "Authorization: Bearer " + bearer + "\r\n"), body,
             host);
}

}  // namespace nthtree::test
