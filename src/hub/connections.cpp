// SPDX-License-Identifier: Apache-2.0
#include "hub/connections.h"

namespace nthtree::hub {

bool Connections::enter(const std::string& address) {
  std::shared_ptr<Guest> evicted;  // ends outside the lock
  {
    const std::lock_guard lock(mutex_);
    const bool all_taken = all_ >= all_max_;
    if (all_taken || by_address_[address] >= per_address_max_) {
      evicted = take_longest_idle(all_taken ? "" : address);
      if (!evicted) return false;
    }
    ++all_;
    ++by_address_[address];
  }
  if (evicted) evicted->give_up();
  return true;
}

void Connections::leave(const std::string& address) {
  const std::lock_guard lock(mutex_);
  --all_;
  if (--by_address_[address] <= 0) by_address_.erase(address);
}

std::uint64_t Connections::waits(std::weak_ptr<Guest> guest, const std::string& address) {
  const std::lock_guard lock(mutex_);
  idle_[++turn_] = {std::move(guest), address};
  return turn_;
}

void Connections::works(std::uint64_t turn) {
  const std::lock_guard lock(mutex_);
  idle_.erase(turn);
}

std::size_t Connections::waiting() {
  const std::lock_guard lock(mutex_);
  return idle_.size();
}

int Connections::all() {
  const std::lock_guard lock(mutex_);
  return all_;
}

// Of this address where there is one, else of any.
std::shared_ptr<Guest> Connections::take_longest_idle(const std::string& address) {
  for (auto idle = idle_.begin(); idle != idle_.end();) {
    if (!address.empty() && idle->second.address != address) {
      ++idle;
      continue;
    }
    auto guest = idle->second.guest.lock();
    idle = idle_.erase(idle);
    if (guest) return guest;
  }
  return nullptr;
}

}  // namespace nthtree::hub
