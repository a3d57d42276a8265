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
// aside, what clashes is re-homed (merge.h). What a device's owner was told is held reaches
// everybody, whatever any other key sends (THREATS.md).
//
//   Result<HubRequest> request = read_hub_request("/v1/push", body);
//   HubReply reply = side.take(*request, sender, now_ms);
#pragma once

#include <cstdint>
#include <initializer_list>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "orchard/person.h"
#include "sync/hub_store.h"
#include "sync/merge.h"
#include "sync/message.h"

namespace nthtree::sync {

struct HubReply {
  int status = 200;
  std::string body;
};

// Whose key a request came with. Number 0 is the hub's own people, who may write everything.
struct Sender {
  std::int64_t key = 0;
  std::string name;    // what the hub's people call this phone
  std::string person;  // whose phone it is; empty: shared
  orchard::Role role = orchard::Role::manager;
};

// What the hub must know of a record to say how it stands.
struct RecordFacts {
  std::size_t kind = 0;  // index in ledger::Body
  orchard::Role needed = orchard::Role::pruner;
  std::string author;
  std::optional<ledger::RecordId> replaces;
  ledger::Stamp stamp;
  std::int64_t clock_ms = 0;
};
RecordFacts facts_of(const ledger::Record& record);

// A request taken apart and checked.
struct HubRequest {
  std::unique_ptr<const std::string> text;  // what the views below point into
  std::variant<HelloRequest, PushRequest, PullRequest> message;
  // By line of a push: why it is no record, and whether it is one that this version cannot read.
  std::vector<std::string> broken;
  std::vector<bool> unreadable;
  std::vector<RecordFacts> facts;
};
// path is one of hello, push, pull. Errors: bad_message, other_version, not_json, …
base::Result<HubRequest> read_hub_request(std::string_view path, std::string body);

// What a pull is answered, of what the store holds now. Changes nothing, so it may be asked of
// another store of the same records than the one that takes them (src/hub/reader.h).
HubReply answer_pull(HubStore& store, const PullRequest& pull);

// More holes than this in what is held of one device is no phone: what would make another one is
// kept apart. An honest half of a season that came by hand makes some dozens.
inline constexpr std::size_t holes_max = 256;
// How far before its arrival the hub's clock lets a stamp lie ahead.
inline constexpr std::int64_t stamp_ahead_ms_max = 10 * 60 * 1000;

class HubSide : private Holdings {
 public:
  explicit HubSide(HubStore& store) : store_(store) {}

  // Reads what the store holds, at the start and after a rollback.
  base::Status open();
  // Takes in what other hubs on the same records have done: at the beginning of each transaction.
  base::Status catch_up();

  // 200, or 503 / 507 where the store failed: then the whole transaction must be rolled back.
  HubReply take(const HubRequest& request, const Sender& sender, std::int64_t wall_ms);

  // Takes records from a file, as the hub's own people's. How many were new.
  base::Result<std::uint64_t> import(const std::vector<ledger::Record>& records,
                                     std::int64_t wall_ms);

  // The manager's broom. What a key brought since then changes no number from now on (it stays, and
  // is told); how many records. Within the caller's transaction, as `take`.
  std::uint64_t set_aside_all_of(std::int64_t key, std::int64_t since_ms, std::int64_t wall_ms);
  // Takes that back: each record is judged anew by what the key may do now. How many count again.
  std::uint64_t count_again(const Sender& sender, std::int64_t wall_ms);
  // A key may do more than before, or is another person's: what was set aside for that and is
  // within its role now, counts. How many records.
  std::uint64_t judge_again(const Sender& sender, std::int64_t wall_ms);
  // Leaves nothing of a record but its id, here and on every phone.
  bool remove(const ledger::RecordId& id);

  std::uint64_t records() const { return size(held_); }
  std::uint64_t head(const ledger::DeviceKey& device) const;  // of what its owner has brought
  const Coverage& held() const { return held_; }
  Standing standing_of(const ledger::RecordId& id) const;
  std::int64_t owner_of(const ledger::DeviceKey& device) const;  // -1: nobody's yet

 private:
  struct Odd {  // a record that is set aside, or ordered by another time than its stamp
    std::string aside;
    std::int64_t at_ms = 0;
  };
  struct Latest {  // of what a device's owner has brought
    std::uint64_t sequence = 0;
    std::int64_t at_ms = 0;
  };

  std::optional<std::string> bytes(const ledger::RecordId& id) const override;
  bool holds(const ledger::RecordId& id) const override;
  Rank rank(const ledger::RecordId& id) const override;
  bool ceded(const ledger::RecordId& id) const override { return ceded_.count(id) > 0; }

  std::string answer(const HelloRequest& hello, const Sender& sender, std::int64_t wall_ms);
  std::string answer(const PushRequest& push, const HubRequest& request, const Provenance& from,
                     const Sender& sender);

  // hub_trust.cpp: whose a device is, and what a record may do
  bool claim(const ledger::DeviceKey& device, const std::vector<std::string>& proofs,
             const Sender& sender);
  Rank rank_from(const Sender& sender, const ledger::RecordId& id, std::string_view bytes) const;
  Standing judge(const ledger::RecordId& id, const RecordFacts& facts, const Sender& sender,
                 const Standing& told, std::int64_t wall_ms) const;
  std::string why_aside(const ledger::RecordId& id, const RecordFacts& facts,
                        const Sender& sender, Rank rank) const;
  std::string why_no_correction(const ledger::RecordId& id, const RecordFacts& facts,
                                const Sender& sender, Rank rank) const;
  std::int64_t order_ms(const ledger::RecordId& id, const RecordFacts& facts,
                        const Standing& told, std::int64_t wall_ms) const;
  std::vector<ledger::RecordId> held_of(std::int64_t key,
                                        const std::function<bool(const HeldRecord&)>& wanted);
  // Those of a key that were set aside for one of these reasons.
  std::uint64_t judge_anew(const Sender& sender, std::int64_t wall_ms,
                           std::initializer_list<std::string_view> reasons);
  bool makes_a_hole_too_many(const ledger::RecordId& id) const;
  Coverage missing_from(const Coverage& have, const Sender& sender) const;
  Coverage kept_apart_from(const Coverage& have, const Sender& sender) const;
  Standing standing_before(std::string_view body, const ledger::RecordId& id) const;

  Admission take_record(const ledger::RecordId& id, std::string_view bytes,
                        const RecordFacts& facts, const Sender& sender, const Standing& told,
                        const Provenance& from);
  void put(const ledger::RecordId& id, std::string_view bytes, const Standing& standing,
           const Provenance& from);
  void keep_apart(const ledger::RecordId& id, std::string_view bytes, std::string_view reason,
                  const Provenance& from);
  void hold(const ledger::RecordId& id, std::string_view bytes, const Standing& standing);
  void let_go(const ledger::RecordId& id);
  void expect_held(const PushRequest& push);

  // Of what is read of the store, the last that each device's owner has brought.
  using Lasts = std::map<ledger::DeviceKey, HeldRecord>;
  void note_last(Lasts& lasts, const HeldRecord& held) const;
  void read_lasts(const Lasts& lasts);

  HubStore& store_;
  std::string epoch_;
  std::uint64_t last_arrival_ = 0;
  Coverage held_, owned_, removed_;
  std::map<ledger::RecordId, Odd> odd_;
  std::map<ledger::DeviceKey, std::int64_t> owners_;  // keys by device
  std::map<ledger::DeviceKey, Latest> latest_;
  // What is no record, by the key it came with: not asked of it again, but of others, who may have
  // the real one.
  std::map<std::int64_t, Coverage> set_aside_;
  std::map<ledger::RecordId, Rank> ceded_;
  std::map<ledger::DeviceKey, ledger::RecordId> first_ids_;  // of re-homed records
};

}  // namespace nthtree::sync
