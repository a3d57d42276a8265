// SPDX-License-Identifier: Apache-2.0
//
// A request and its answer as the service sees them, without the library that carries them.
#pragma once

#include <algorithm>
#include <cctype>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace nthtree::hub {

enum class Door { app, metrics };  // which of the hub's addresses it came to

struct HttpRequest {
  Door door = Door::app;
  std::string method;
  std::string target;   // path and query, as sent
  std::string address;  // of the peer
  std::string host, origin, sec_fetch_site;
  std::string content_type, content_encoding;
  std::string accept_encoding, if_none_match;
  std::string authorization;
  std::string forwarded_for;
  std::string body;
};

// "North.Example.org:8443" is "north.example.org"; brackets of an IPv6 address stay.
inline std::string name_in(std::string_view host) {
  std::string name(host.substr(0, host.find(':', host.rfind(']') + 1)));
  std::transform(name.begin(), name.end(), name.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return name;
}

struct HttpReply {
  int status = 200;
  std::vector<std::pair<std::string, std::string>> headers;
  std::string own_body;
  std::string_view file_body;  // of the site, which outlives every answer
  bool close = false;          // the connection, because its body was not read

  std::string_view body() const { return file_body.empty() ? own_body : file_body; }
};

}  // namespace nthtree::hub
