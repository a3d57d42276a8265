// SPDX-License-Identifier: Apache-2.0
//
// What a manager's phone asks of the hub beyond records: which phones have joined, a code for
// another one, one changed or withdrawn, old names forgotten (sync/PROTOCOL.md). The hub decides
// who may ask; here nothing is kept, and nothing is tried again by itself.
//
//   office.list();   if (office.http_done(id, status, body)) …
#pragma once

#include <map>
#include <string>
#include <string_view>

#include "app/context.h"

namespace nthtree::app {

class Office {
 public:
  explicit Office(Context& context) : context_(context) {}

  void list();
  void change(const screens::ChangePhone& wish);
  void give_code(const screens::GiveCode& wish);
  void forget(const screens::ForgetNames& wish);
  bool http_done(RequestId id, int status, std::string_view body);  // false: not ours

 private:
  void ask(std::string_view path, std::string body);

  Context& context_;
  std::map<RequestId, std::string> asked_;  // the path of each request under way
};

}  // namespace nthtree::app
