// SPDX-License-Identifier: Apache-2.0
//
// The demo farm: a season from the bundle to look at and count in. It stores, sends and mixes
// nothing; leaving it gives back the session as it was.
//
//   demo.look();   if (demo.http_done(id, status, body)) …   demo.save(wish);   demo.leave();
#pragma once

#include <cstdint>
#include <string_view>

#include "app/context.h"

namespace nthtree::app {

class Demo {
 public:
  explicit Demo(Context& context) : context_(context) {}

  void look();  // fetches the farm; it opens when it is here
  bool http_done(RequestId id, int status, std::string_view body);  // false: not ours
  void save(const screens::SaveRecords& wish);
  void leave();

 private:
  void open(std::string_view lines);
  base::Result<ledger::Record> written(const ledger::Body& body, const screens::SaveRecords& wish);

  Context& context_;
  ledger::Season season_;
  std::uint64_t sequence_ = 0;
  RequestId request_ = 0;
  screens::Session before_;  // where the person really was
};

}  // namespace nthtree::app
