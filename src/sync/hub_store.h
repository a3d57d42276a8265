// SPDX-License-Identifier: Apache-2.0
//
// What the hub's side of sync needs of a store. src/hub has it on SQLite and on PostgreSQL, the
// simulation in memory.
//
// All calls come from one thread and between a begin and a commit that the caller of HubSide
// makes; what is put is seen by later calls at once. After a failure every call does nothing until
// the caller has rolled back: HubSide asks once, at the end, by `failure`.
// `sender` names a phone's key by its number; 0 is the hub's own people.
// Invariants: arrivals only grow; a reader who has seen arrival n misses nothing below it. At each
// start, before the first put, a new opening is noted for the arrivals to come.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.h"
#include "ledger/record.h"
#include "sync/standing.h"

namespace nthtree::sync {

struct Arrival {
  std::uint64_t arrival = 0;
  ledger::RecordId id;
  std::string bytes;  // empty: the record was removed
  Standing standing;
};

struct Provenance {  // who brought a record, and when by the hub's clock
  std::int64_t sender = 0;  // number of the key
  std::string carrier;      // its name
  std::int64_t wall_ms = 0;
};

struct HeldRecord {  // as the list of all of them gives it
  ledger::RecordId id;
  Standing standing;
  std::int64_t sender = 0;
  std::int64_t received_ms = 0;
  std::string_view bytes;  // only while it is being visited
};

// What other hubs on the same farm's records have done since this one last had them to itself.
struct OthersWork {
  std::vector<ledger::RecordId> dropped;  // before the rest
  std::vector<HeldRecord> held;           // new, or standing otherwise; without their bytes
  std::vector<ledger::RecordId> removed;
  std::vector<std::pair<ledger::RecordId, std::int64_t>> set_aside;
  std::vector<std::pair<ledger::DeviceKey, std::int64_t>> owners;
  bool is_too_much = false;  // or another epoch: everything must be read again
};

class HubStore {
 public:
  virtual ~HubStore() = default;

  virtual void begin_reading() {}  // all that follows is about to be read anew
  virtual std::string epoch() = 0;  // random; a new one after each restore
  virtual std::uint64_t last_arrival() = 0;  // also of records replaced since
  // Which start of the hub gave out this arrival number: a random text a start; "" for 0.
  virtual std::string opening_of(std::uint64_t arrival) = 0;
  virtual std::optional<std::string> bytes(const ledger::RecordId& id) = 0;
  // Of many, in one round trip where the store is another machine; of those that are there.
  virtual std::map<ledger::RecordId, std::string> bytes_of(
      const std::vector<ledger::RecordId>& ids) {
    std::map<ledger::RecordId, std::string> all;
    for (const ledger::RecordId& id : ids) {
      if (auto held = bytes(id)) all.emplace(id, std::move(*held));
    }
    return all;
  }
  // These will be asked for soon: a store that is another machine fetches them at once.
  virtual void expect(const std::vector<ledger::RecordId>&) {}
  // At the beginning of a transaction, where several hubs share the records; none where nobody
  // else has changed anything.
  virtual std::optional<OthersWork> work_of_others() { return std::nullopt; }
  // The next records after an arrival, at most so many and so long, but at least one if any.
  virtual std::vector<Arrival> page(std::uint64_t after, std::uint64_t records_max,
                                    std::size_t bytes_max) = 0;
  virtual std::uint64_t backed_up(const ledger::DeviceKey& device) = 0;  // contiguous head
  // In any order, without those that were removed, and without those whose bytes are damaged: what
  // is not visited is asked of the phones again.
  virtual void each_held(const std::function<void(const HeldRecord&)>& visit) = 0;
  virtual void each_removed(const std::function<void(const ledger::RecordId&)>& visit) = 0;
  virtual void each_set_aside(
      const std::function<void(const ledger::RecordId&, std::int64_t sender)>& visit) = 0;
  // Which key owns a device.
  virtual void each_owner(
      const std::function<void(const ledger::DeviceKey&, std::int64_t key)>& visit) = 0;

  // Puts a record as the newest arrival, in place of what stood under its id.
  virtual void put(std::uint64_t arrival, const ledger::RecordId& id, std::string_view bytes,
                   const Standing& standing, const Provenance& from) = 0;
  virtual void drop(const ledger::RecordId& id) = 0;
  // Leaves of a record only that it was there, as the newest arrival.
  virtual void remove(std::uint64_t arrival, const ledger::RecordId& id) = 0;
  virtual void set_owner(const ledger::DeviceKey& device, std::int64_t key) = 0;
  // Keeps what is no record, apart; the same of the same sender twice is kept once.
  virtual void set_aside(const ledger::RecordId& id, std::string_view bytes,
                         std::string_view reason, const Provenance& from) = 0;

  // The id is "disk_full", or another that src/hub/store.h names.
  virtual std::optional<base::Error> failure() = 0;
};

}  // namespace nthtree::sync
