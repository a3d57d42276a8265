// SPDX-License-Identifier: Apache-2.0
//
// Who is connected, for the limits and for a clean end. Where there is no room, whoever has been
// silent longest between two requests makes it.
//
// Thread safe.
//
//   if (!connections.enter(address)) return;  // no room, and nobody idle
//   … std::uint64_t turn = connections.waits(guest, address); … connections.works(turn); …
//   connections.leave(address);
#pragma once

#include <atomic>
#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <string>

namespace nthtree::hub {

class Guest {  // one connection
 public:
  virtual ~Guest() = default;
  virtual void give_up() = 0;  // makes room for somebody else, if it is still idle
};

class Connections {
 public:
  Connections(int all, int per_address) : all_max_(all), per_address_max_(per_address) {}

  bool enter(const std::string& address);
  void leave(const std::string& address);
  // A guest waits for its next request; the number it stands under meanwhile.
  std::uint64_t waits(std::weak_ptr<Guest> guest, const std::string& address);
  void works(std::uint64_t turn);
  std::size_t waiting();
  int all();

  std::atomic<int> busy = 0;  // requests under way
  std::atomic<bool> stopping = false;

 private:
  struct Idle {
    std::weak_ptr<Guest> guest;
    std::string address;
  };
  std::shared_ptr<Guest> take_longest_idle(const std::string& address);

  std::mutex mutex_;
  const int all_max_, per_address_max_;
  int all_ = 0;
  std::uint64_t turn_ = 0;
  std::map<std::uint64_t, Idle> idle_;  // longest first
  std::map<std::string, int> by_address_;
};

}  // namespace nthtree::hub
