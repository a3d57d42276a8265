// SPDX-License-Identifier: Apache-2.0
#include "ledger/seats.h"

#include "base/result.h"
#include "base/spare_room.h"

namespace nthtree::ledger {
namespace {

constexpr std::uint64_t holes_max = 64;  // and as many as there are records

Seat nobodys() {
  Seat seat;
  seat.kind = Seat::nobody;
  return seat;
}

}  // namespace

bool Seats::is_near(const OfDevice& device, std::uint64_t sequence) {
  return sequence <= 2 * device.taken + holes_max;
}

// What waited beyond a hole, and is near by now.
void Seats::move_up(OfDevice& device) {
  for (auto next = device.later.begin();
       next != device.later.end() && is_near(device, next->first);
       next = device.later.erase(next)) {
    if (next->first > device.first.size()) device.first.resize(next->first, nobodys());
    device.first[next->first - 1] = next->second;
    ++device.taken;
  }
}

Seats::OfDevice& Seats::of_device(const DeviceKey& key) {
  if (!latest_.get() || latest_.get()->first != key) latest_.set(&*devices_.try_emplace(key).first);
  return latest_.get()->second;
}

Seat* Seats::add(const RecordId& id) {
  NTHTREE_ASSERT(id.sequence > 0);
  OfDevice& device = of_device(id.device);
  const std::uint64_t sequence = id.sequence;
  if (sequence > device.first.size() && !is_near(device, sequence)) {
    const auto [at, is_new] = device.later.try_emplace(sequence);
    size_ += is_new;
    return is_new ? &at->second : nullptr;
  }
  if (sequence == device.first.size() + 1) {
    base::make_room(device.first);
    device.first.emplace_back();
  } else {
    if (sequence > device.first.size()) device.first.resize(sequence, nobodys());
    if (device.first[sequence - 1].kind != Seat::nobody) return nullptr;
    device.first[sequence - 1] = Seat();
  }
  ++device.taken;
  ++size_;
  move_up(device);
  return &device.first[sequence - 1];
}

Seat* Seats::find(const RecordId& id) {
  const auto device = devices_.find(id.device);
  if (device == devices_.end() || id.sequence == 0) return nullptr;
  auto& [key, of_device] = *device;
  if (id.sequence <= of_device.first.size()) {
    Seat& seat = of_device.first[id.sequence - 1];
    return seat.kind == Seat::nobody ? nullptr : &seat;
  }
  const auto later = of_device.later.find(id.sequence);
  return later == of_device.later.end() ? nullptr : &later->second;
}

}  // namespace nthtree::ledger
