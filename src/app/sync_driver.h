// SPDX-License-Identifier: Apache-2.0
//
// Carries out what the sync client wants (sync/client.h), and tells how it stands. Requests and
// stored changes are numbered by the platform's ids here and by the client's own inside.
//
//   driver.join(code);  driver.http_done(id, 200, body);  driver.on_wake();
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "app/context.h"

namespace nthtree::app {

class SyncDriver {
 public:
  // `saves_wait`: whether the saver has something to write, with the number of unsent records in
  // it. `imported`: told when all of a file or a chain of codes is in, with what was new. `joined`:
  // with what role, where the hub says.
  SyncDriver(Context& context, std::function<bool()> saves_wait,
             std::function<void(std::int64_t fresh)> imported,
             std::function<void(orchard::Role)> joined)
      : context_(context),
        saves_wait_(std::move(saves_wait)),
        imported_(std::move(imported)),
        joined_(std::move(joined)) {}

  // After every event that may have given the client something to do.
  void drive();
  void join(std::string code);
  void network_back();
  void on_wake();
  // A hidden app asks for no news, which nobody would see: without that a phone in a pocket would
  // wake its radio every 20 s all day. What is unsent is tried on.
  void set_hidden(bool hidden) { hidden_ = hidden; }
  void import(std::string lines);  // records, one a line, from a file or a chain of codes
  bool http_done(RequestId id, int status, std::string_view body);  // false: not ours
  void store_done(RequestId id, bool stored);
  void set_aside(int records) { set_aside_ += records; }  // found unreadable on the disk

 private:
  void carry_out(sync::Send& send);
  void carry_out(sync::StoreChange& change);
  void carry_out(sync::Apply& apply);
  void carry_out(sync::WantDeviceKey& want);
  void carry_out(sync::Joined&);
  void carry_out(sync::Notice& notice);
  void taken_in(const sync::Notice::Tally& tally);
  void rebuild_season();
  screens::SyncSummary summary() const;
  bool rests() const { return hidden_ && context_.client.status().unsent == 0; }

  Context& context_;
  std::function<bool()> saves_wait_;
  std::function<void(std::int64_t)> imported_;
  std::function<void(orchard::Role)> joined_;
  std::map<RequestId, std::int32_t> sends_, changes_;  // request -> the client's number
  bool hidden_ = false;
  std::int64_t joining_until_ms_ = 0;
  screens::Link refusal_ = screens::Link::never_paired;  // why joining failed last: how,
  std::string trouble_;                                  // the hub's word for it,
  int code_minutes_ = 0;                                 // and for how long its codes are good
  int clock_off_minutes_ = 0;
  int set_aside_ = 0;
};

}  // namespace nthtree::app
