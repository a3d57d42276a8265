// SPDX-License-Identifier: Apache-2.0
//
// The phone's side of sync: a state machine that is told what happened and says what to do.
//
// It has no socket, no disk, no clock and no chance of its own: all come with each event, so that
// one process can run a whole farm of them (tests/simulation). README.md shows the wiring.
//
// Invariants:
//   - a record is sent only after local_stored: what the hub has, this phone's disk had first;
//   - pulled records and the cursor that says so are one StoreChange, all or nothing;
//   - the hub's own word (hello) says what it lacks; "sent" marks of the phone are never trusted;
//   - a record's standing (standing.h) is the hub's word; without one, it is what this phone can
//     tell: its own records are owned, all others hearsay;
//   - the hub's key is part of the stored state: no phone believes to have joined without one;
//   - while anything is unsent a retry is due, whatever went wrong before;
//   - fetching never waits for sending;
//   - one StoreChange is under way at a time, and none touches a record that is being written.
// Units: milliseconds; wall time since 1970-01-01 UTC, elapsed time from any fixed moment.
//
//   client.response(id, 200, body, moment);
//   for (Action& action : client.take_actions()) std::visit(carry_out, action);
//   wake_at(client.next_wake_ms());
#pragma once

#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "ledger/clock_of_device.h"
#include "sync/action.h"
#include "sync/message.h"
#include "sync/record_store.h"

namespace nthtree::sync {

class Client {
 public:
  struct Settings {
    std::int64_t timeout_ms = 10000;
    std::int64_t pull_every_ms = 20000;
    std::int64_t hello_every_ms = 60000;
    std::int64_t retry_first_ms = 1000;
    std::int64_t retry_most_ms = 300000;
  };
  Client() : Client(Settings()) {}
  explicit Client(Settings settings) : settings_(settings) {}
  Client(const Client&) = delete;  // a batch under way looks into the store
  Client& operator=(const Client&) = delete;

  // ---- at the start: the state, then every record on the disk, then start
  // "" on a new phone; a damaged one counts as new. Called again, a load begins anew: what was
  // loaded before is forgotten.
  void load_state(std::string_view state);
  // The record for the season, without its bytes, which the store has now; or why it cannot be read
  // (it is kept and passed on all the same).
  base::Result<ledger::Record> load_record(std::string_view bytes);
  // Records of a device as the store keeps them; on_record gets what load_record returns of each,
  // to look at until it returns. False, and nothing is loaded, where they are not the device's
  // next.
  using OnLoaded = std::function<void(base::Result<ledger::Record>&)>;
  bool load_packed(RecordStore::Packed packed, const OnLoaded& on_record);
  // Whether a record goes into the season; where it is ordered by another time than its stamp, the
  // stamp is set to that.
  bool counts(ledger::Record& record) const;
  // What role the season knows of an author, to judge what comes by hand; empty: nobody yet has a
  // role here. Unset, nothing is judged.
  using RoleOf = std::function<std::optional<orchard::Role>(const std::string& person)>;
  void set_role_of(RoleOf role_of) { role_of_ = std::move(role_of); }
  void start(const ledger::DeviceKey& fresh, const Moment& now);  // fresh: used on a new phone

  // ---- writing: make the record, store it, say so
  base::Result<ledger::Record> write(ledger::Body body, std::string author,
                                     std::optional<ledger::RecordId> replaces,
                                     std::int64_t wall_ms);
  void local_stored(const ledger::RecordId& id, const Moment& now);
  void local_failed(const ledger::RecordId& id, const Moment& now);  // given up; id is free again

  // ---- events
  void tick(const Moment& now);  // when next_wake_ms is due, or at any time
  void network_back(const Moment& now);
  // status 0: no answer came.
  void response(std::int32_t request, int status, std::string_view body, const Moment& now);
  void store_done(std::int32_t store, bool stored, const Moment& now);
  void use_device_key(const ledger::DeviceKey& key, const Moment& now);
  void join(std::string code, std::string name, const Moment& now);
  // Records from a file, a QR code or another phone: one a line.
  void import(std::string lines, const Moment& now);

  std::vector<Action> take_actions();
  std::int64_t next_wake_ms() const;  // elapsed time; -1: nothing is due

  const RecordStore& store() const { return store_; }
  const ledger::DeviceKey& device() const { return device_; }
  const std::string& bearer() const { return bearer_; }  // the hub's key; empty: not joined
  const Coverage& unsent() const { return unsent_; }  // not known to be on the hub
  // The records that go into the season, in no order; all of them, as bytes, are in the store.
  void each_counted(const std::function<void(const ledger::Record&)>& visit) const;
  Standing standing_of(const ledger::RecordId& id) const;
  const std::map<ledger::RecordId, Standing>& odd() const { return odd_; }  // not as usual
  Status status() const;
 private:
  enum class Lane { join, send, fetch };
  struct Pending {  // a request under way
    Lane lane = Lane::send;
    std::string path;
    std::int64_t sent_ms = 0, deadline_ms = 0;
    Moment at;
    ledger::DeviceKey device;           // that asked: it may have changed since
    std::vector<ledger::RecordId> ids;  // of a push
  };
  struct LaneState {
    std::int32_t request = 0;  // 0: none under way
    int failures = 0;
    std::int64_t due_ms = 0;
  };
  struct Incoming {  // a batch of records waiting to be merged and stored
    std::string body;
    std::optional<Cursor> cursor;  // of a pull; an import has none
    std::map<std::size_t, Standing> standings;  // by line of a pull, where not the usual
    std::vector<ledger::RecordId> gone;         // removed at the hub
    bool more = false;
    bool state_only = false, last = true;  // last: of an import, no part of it follows
  };
  struct Storing {  // the StoreChange under way
    std::int32_t store = 0;
    Overlay overlay;
    Incoming incoming;
    std::vector<ledger::Record> records;
    Coverage at_hub;   // ids whose bytes the hub has just shown us
    Coverage to_send;  // what this batch makes worth sending
    Coverage contested;  // … because the hub has other bytes under these ids
    std::map<ledger::RecordId, Standing> odd;  // standings that change; the usual where they end
    std::int64_t outside_role = 0;
    bool rebuild = false, has_key = false;  // the hub's key is in the state that is being stored
    Notice::Tally tally;
  };

  // client.cpp
  void request(Lane lane, std::string_view path, std::string body, Pending pending,
               const Moment& now);
  void succeeded(LaneState& lane, std::int64_t due_ms, const Moment& now);
  void failed(LaneState& lane, const Moment& now);
  void refused(LaneState& lane, std::string why, const Moment& now);
  void tell(Notice::Kind kind, std::int64_t number = 0, std::string text = "");
  void take_join(int status, std::string_view body, const Moment& now);
  std::string state_text(const Cursor& cursor, const Storing* storing) const;
  LaneState& lane_of(Lane lane);
  void expire_requests(const Moment& now);

  // client_send.cpp
  void run_send_lane(const Moment& now);
  void send_hello(const Moment& now);
  void send_push(const Moment& now);
  void take_hello(const Pending& asked, const Envelope& envelope, const Moment& now);
  void take_push(const Pending& asked, const Envelope& envelope, const Moment& now);
  void count_no_more(const Coverage& kept_apart, const Moment& now);
  void push_refused(const Pending& asked, const Moment& now);
  void note_heads(const Pending& asked, std::uint64_t head, std::uint64_t backed_up);
  void note_unsent(const ledger::RecordId& id, const Moment& now);
  void mind_epoch(const std::string& epoch);
  void mind_clock(std::int64_t hub_wall_ms, const Pending& asked, const Moment& now);

  // client_take.cpp
  void run_fetch_lane(const Moment& now);
  void take_pull(const Envelope& envelope, const Moment& now);
  void merge_next(const Moment& now);
  bool waits_for_local(const Incoming& incoming) const;
  void merge_line(Storing& storing, std::string_view line, std::size_t number,
                  const Moment& now);
  void note_standing(Storing& storing, const RawRecord& arrived, const Admission& admission,
                     const Standing& standing);
  Standing standing_in(const Storing& storing, const ledger::RecordId& id) const;
  Standing judge(const base::Result<ledger::Record>& record, const Moment& now) const;
  bool is_own(const ledger::DeviceKey& device) const;
  void begin_anew_with_hub();
  void add_proof(std::string proof);
  void leave_device();
  void store_state(const Moment& now);
  void want_key();

  Settings settings_;
  bool started_ = false;
  RecordStore store_;
  ledger::ClockOfDevice clock_;
  std::map<ledger::DeviceKey, ledger::Stamp> loaded_;  // latest stamp by device, until start
  Coverage loaded_hearsay_;  // what of that is hearsay, as the state says; until start
  ledger::DeviceKey device_;
  bool has_device_ = false;
  std::vector<std::string> proofs_;  // what this phone's devices are the digests of, latest last
  std::vector<ledger::DeviceKey> proven_;  // those devices
  std::map<ledger::RecordId, Standing> odd_;  // set aside, or ordered by another time
  RoleOf role_of_;
  std::string bearer_;      // the hub's key for this phone; empty: not joined
  bool tell_joined_ = false, fetched_all_ = false, no_key_ = false, wants_key_ = false;
  bool device_taken_ = false;  // another key owns it
  Cursor cursor_;
  std::optional<orchard::Role> key_role_;  // of bearer_, as the hub last said
  std::string key_refusal_;  // the hub's error id where it refused the key
  std::string hub_epoch_;  // of the last hello
  std::uint64_t own_head_ = 0, own_backed_up_ = 0;
  std::int64_t contact_ms_ = 0;
  std::int64_t unsent_since_ms_ = 0;
  std::optional<std::int64_t> told_minutes_off_;
  bool told_full_ = false, told_quota_ = false;

  std::map<ledger::RecordId, std::string> writing_;  // made, not yet on the disk
  Coverage unsent_;
  Coverage added_since_hello_;  // so that its answer, of older date, takes nothing away
  Coverage vouched_less_;       // own hearsay that the hub has: it asks for more and gets no more
  Coverage wanted_;             // sent because the hub wanted them; once between two hellos
  Coverage contested_;          // the hub has other bytes, asks for none, and should know these
  Coverage refused_by_hub_;     // single records the hub would not take apart, left out …
  std::int64_t refused_until_ms_ = 0;  // … until then: it may have been the network's doing
  std::map<ledger::RecordId, int> refusals_;  // of a record, one after the other
  std::size_t push_records_max_ = batch_records_max;
  bool needs_hello_ = true;
  std::int64_t hello_due_ms_ = 0;

  LaneState join_lane_, send_lane_, fetch_lane_;
  LaneState disk_lane_;  // its failures only: a disk that refuses is not asked in a loop
  std::map<std::int32_t, Pending> pending_;
  std::int32_t last_request_ = 0, last_store_ = 0;
  std::deque<Incoming> incoming_;
  std::optional<Storing> storing_;
  std::vector<Action> actions_;
};

}  // namespace nthtree::sync
