// SPDX-License-Identifier: Apache-2.0
//
// The hub's side of sync: a request in, a reply out, records into the store. PROTOCOL.md says what
// each means.
//
// Not here: HTTP, keys, transactions. The caller begins a transaction, lets any number of requests
// be taken, commits, and only then sends the replies; where the commit fails it rolls back, calls
// open again and answers 507 or 503. read_hub_request is pure and may run on any thread.
//
// Invariants: taking a request twice is the same as once; nothing that came in is thrown away:
// what this version cannot read is held and given on like any record, what is no record is set
// aside, what clashes is re-homed (merge.h).
//
//   Result<HubRequest> request = read_hub_request("/v1/push", body);
//   HubReply reply = side.take(*request, "tablet 3", now_ms);
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "sync/hub_store.h"
#include "sync/merge.h"
#include "sync/message.h"

namespace nthtree::sync {

struct HubReply {
  int status = 200;
  std::string body;
};

// A request taken apart and checked.
struct HubRequest {
  std::unique_ptr<const std::string> text;  // what the views below point into
  std::variant<HelloRequest, PushRequest, PullRequest> message;
  // By line of a push: why it is no record, and whether it is one that this version cannot read.
  std::vector<std::string> broken;
  std::vector<bool> unreadable;
};
// path is one of hello, push, pull. Errors: bad_message, other_version, not_json, …
base::Result<HubRequest> read_hub_request(std::string_view path, std::string body);

class HubSide : private Holdings {
 public:
  explicit HubSide(HubStore& store) : store_(store) {}

  // Reads what the store holds, at the start and after a rollback.
  base::Status open();

  // 200, or 503 / 507 where the store failed: then the whole transaction must be rolled back.
  HubReply take(const HubRequest& request, const std::string& carrier, std::int64_t wall_ms);

  // Takes records from a file, as if a phone had carried them. How many were new.
  base::Result<std::uint64_t> import(const std::vector<ledger::Record>& records,
                                     std::int64_t wall_ms);

  std::uint64_t records() const { return size(held_); }
  std::uint64_t head(const ledger::DeviceKey& device) const;
  const Coverage& held() const { return held_; }

 private:
  std::optional<std::string> bytes(const ledger::RecordId& id) const override;
  bool ceded(const ledger::RecordId& id) const override { return ceded_.count(id) > 0; }

  std::string answer(const HelloRequest& hello, std::int64_t wall_ms);
  std::string answer(const PullRequest& pull);
  std::string answer(const PushRequest& push, const HubRequest& request, const Provenance& from);
  Admission::Outcome take_record(const ledger::RecordId& id, std::string_view bytes,
                                 const Provenance& from);
  void hold(const ledger::RecordId& id, std::string_view bytes);
  void let_go(const ledger::RecordId& id);

  HubStore& store_;
  std::string epoch_;
  std::uint64_t last_arrival_ = 0;
  Coverage held_;
  // What is no record, by who sent it: not asked of them again, but of others, who may have the
  // real one.
  std::map<ledger::DeviceKey, Coverage> set_aside_;
  std::set<ledger::RecordId> ceded_;
};

}  // namespace nthtree::sync
