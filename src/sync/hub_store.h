// SPDX-License-Identifier: Apache-2.0
//
// What the hub's side of sync needs of a store. src/hub has it on SQLite, the simulation in memory.
//
// All calls come from one thread and between a begin and a commit that the caller of HubSide
// makes; what is put is seen by later calls at once. After a failure every call does nothing until
// the caller has rolled back: HubSide asks once, at the end, by `failure`.
// Invariants: arrivals only grow; a reader who has seen arrival n misses nothing below it. At each
// start, before the first put, a new opening is noted for the arrivals to come.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "ledger/record.h"

namespace nthtree::sync {

struct Arrival {
  std::uint64_t arrival = 0;
  ledger::RecordId id;
  std::string bytes;
};

struct Provenance {  // who brought a record, and when by the hub's clock
  ledger::DeviceKey sender;
  std::string carrier;  // the name of the key it came with
  std::int64_t wall_ms = 0;
};

class HubStore {
 public:
  virtual ~HubStore() = default;

  virtual std::string epoch() = 0;  // random; a new one after each restore
  virtual std::uint64_t last_arrival() = 0;  // also of records replaced since
  // Which start of the hub gave out this arrival number: a random text a start; "" for 0.
  virtual std::string opening_of(std::uint64_t arrival) = 0;
  virtual std::optional<std::string> bytes(const ledger::RecordId& id) = 0;
  // The next records after an arrival, at most so many and so long, but at least one if any.
  virtual std::vector<Arrival> page(std::uint64_t after, std::uint64_t records_max,
                                    std::size_t bytes_max) = 0;
  virtual std::uint64_t backed_up(const ledger::DeviceKey& device) = 0;  // contiguous head
  virtual void each_id(const std::function<void(const ledger::RecordId&)>& visit) = 0;
  virtual void each_set_aside(
      const std::function<void(const ledger::RecordId&, const ledger::DeviceKey& sender)>&
          visit) = 0;

  // Puts a record as the newest arrival, in place of what stood under its id.
  virtual void put(std::uint64_t arrival, const ledger::RecordId& id, std::string_view bytes,
                   const Provenance& from) = 0;
  virtual void drop(const ledger::RecordId& id) = 0;
  // Keeps what is no record, apart; the same of the same sender twice is kept once.
  virtual void set_aside(const ledger::RecordId& id, std::string_view bytes,
                         std::string_view reason, const Provenance& from) = 0;

  virtual std::optional<base::Error> failure() = 0;  // id "disk_full" or "store_failed"
};

}  // namespace nthtree::sync
