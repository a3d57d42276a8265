// SPDX-License-Identifier: Apache-2.0
//
// The simulated farm: phones, hub, network and troubles on one clock, all drawn from one seed, so
// that a run can be had again from its number.
//
// First a storm in which everything goes wrong, then a quiet in which nothing does; after it all
// must hold the same (check.h).
//
//   World world(draw(42));
//   world.run();
//   std::vector<std::string> failures = check(world);
#pragma once

#include <deque>
#include <functional>
#include <map>
#include <queue>
#include <set>
#include <string>
#include <vector>

#include "base/random.h"
#include "simulation/phones/draw.h"
#include "simulation/phones/hostile.h"
#include "simulation/phones/hub.h"
#include "simulation/phones/phone.h"

namespace nthtree::simulation {

inline constexpr std::int64_t morning_ms = 1769990400000;  // 2026-02-02T00:00 UTC

class World {
 public:
  explicit World(const Settings& settings);

  void run();

  // ---- for phones
  void at(std::int64_t in_ms, std::function<void()> what);
  void send(Phone& phone, sync::Send message);
  void say(const char* format, ...) __attribute__((format(printf, 2, 3)));

  // All disks hold what the hub holds and nothing waits.
  bool at_rest() const;
  bool stands_as_at_hub(const Phone& phone) const;
  // Of what a phone holds and nobody forged: how many the hub holds too, and how many it does not.
  std::pair<std::size_t, std::size_t> compared_with_hub(const Phone& phone) const;
  std::size_t honest_at_hub() const;
  bool is_forged(const ledger::RecordId& id, const std::string& bytes) const;

  const Settings settings;
  base::Random random;
  std::int64_t now_ms = 0;
  Hub hub;
  Hostile hostile;
  std::deque<Phone> phones;
  bool verbose = false;
  bool quiet = false;
  std::int64_t quiet_ms = 0;  // how long the quiet took until all was at rest
  int trees = 0;              // each count is of another tree, so no two are the same by chance

  std::set<std::string> saved;       // bytes of all records somebody was told are saved
  std::set<std::string> excused;     // … whose only copy died with its phone
  std::set<std::string> made;        // bytes of all records ever written, saved or not
  std::set<std::string> forged;      // … by the hostile phone
  std::vector<std::string> promises_broken;  // acknowledged by the hub, and not on its disk
  std::uint64_t messages = 0;
  std::uint64_t quiet_messages = 0;
  // What may be said in a quiet of that length; phones that say more talk without end.
  double messages_allowed(std::int64_t in_ms) const;

 private:
  struct Event {
    std::int64_t at_ms;
    std::uint64_t order;
    std::function<void()> what;
    bool operator<(const Event& other) const {
      return at_ms != other.at_ms ? at_ms > other.at_ms : order > other.order;
    }
  };
  void run_until(std::int64_t end_ms);
  void plan_storm();
  void plan_nights();
  void plan_troubles_of_phones();
  void plan_troubles_of_hub();
  void sometime(int times, std::function<void()> what);
  Phone& any_phone() { return phones[random.below(phones.size())]; }
  void deliver(Phone& phone, int incarnation, const sync::Send& message, bool answered);
  void check_promise(const std::string& body);
  void exchange(Phone& from, Phone& to);
  void lose(const std::function<void()>& destroy);
  std::int64_t delay();
  void calm_down();

  std::priority_queue<Event> events_;
  std::uint64_t order_ = 0;
  std::vector<Disk> old_disks_;
};

// The record as it was first written, if these bytes are a re-homed one.
std::string first_bytes(const ledger::RecordId& id, const std::string& bytes);

}  // namespace nthtree::simulation
