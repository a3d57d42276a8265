// SPDX-License-Identifier: Apache-2.0
//
// Which records were applied, and where the entry that each made stands. Every record has a seat,
// so it is small, and what a device wrote is an array by sequence: almost every device's records
// are 1 … n. What lies far beyond what is held waits in a map, so that one record with a high
// number takes no more room than another.
//
//   Seat* seat = seats.add(id);  // null: it has one
//   if (const Seat* seat = seats.find(id)) …
#pragma once

#include <cstdint>
#include <map>
#include <utility>
#include <vector>

#include "base/remembered.h"
#include "ledger/record_id.h"

namespace nthtree::ledger {

struct Seat {
  std::int64_t at_ms = 0;
  std::uint32_t tick = 0;        // with at_ms the record's stamp
  std::uint32_t block : 24 = 0;  // BlockSeason::number
  std::uint32_t kind : 8 = 0;    // index in Body; 0 where the record stands in no list

  static constexpr unsigned nobody = 255;  // as kind: the record was not applied
  static constexpr std::uint32_t blocks_max = 1u << 24;
  Stamp stamp() const { return {at_ms, tick}; }
};

class Seats {
 public:
  // Null where the record has one already. Good until the next add.
  Seat* add(const RecordId& id);
  // Null where it has none.
  Seat* find(const RecordId& id);
  const Seat* find(const RecordId& id) const { return const_cast<Seats*>(this)->find(id); }
  std::size_t size() const { return size_; }

 private:
  struct OfDevice {
    std::vector<Seat> first;  // of sequence i + 1, with `nobody` in it where there is a hole
    std::size_t taken = 0;    // of them
    std::map<std::uint64_t, Seat> later;
  };
  static bool is_near(const OfDevice& device, std::uint64_t sequence);
  static void move_up(OfDevice& device);

  OfDevice& of_device(const DeviceKey& key);

  std::map<DeviceKey, OfDevice> devices_;
  // The last one that a record was added of: most come device by device.
  base::Remembered<std::pair<const DeviceKey, OfDevice>> latest_;
  std::size_t size_ = 0;
};

}  // namespace nthtree::ledger
