// SPDX-License-Identifier: Apache-2.0
//
// What goes wrong in the storm, and when.
#include "simulation/phones/world.h"

namespace nthtree::simulation {

void World::sometime(int times, std::function<void()> what) {
  for (int i = 0; i < times; ++i) {
    at(static_cast<std::int64_t>(random.below(static_cast<std::uint64_t>(settings.storm_ms))),
       [this, what] {
         if (!quiet) what();
       });
  }
}

void World::plan_storm() {
  for (Phone& phone : phones) {
    at(static_cast<std::int64_t>(random.below(20000)), [&phone] { phone.start(); });
    sometime(settings.counts_per_phone, [&phone] { phone.count(); });
  }
  plan_nights();
  plan_troubles_of_phones();
  plan_troubles_of_hub();
  sometime(settings.hostile_acts, [this] { hostile.act(); });
}

// Half the crew leave the phone on at home, out of reach; the others switch it off.
void World::plan_nights() {
  constexpr std::int64_t hour_ms = 3600000;
  for (int day = 0; day < settings.days; ++day) {
    for (Phone& phone : phones) {
      const auto minutes = [this] { return static_cast<std::int64_t>(random.below(30)) * 60000; };
      const bool off = random.chance(0.5);
      at(day * 24 * hour_ms + 9 * hour_ms + minutes(), [this, &phone, off] {
        if (quiet) return;
        off ? phone.crash() : void(phone.cut_off = true);
      });
      at((day + 1) * 24 * hour_ms - minutes() - 60000, [&phone] {
        phone.cut_off = false;
        phone.start();
        phone.client->network_back(phone.moment());
        phone.drive();
      });
    }
  }
}

void World::plan_troubles_of_phones() {
  const auto a_while = [this] { return static_cast<std::int64_t>(random.below(120000)); };
  sometime(settings.phone_crashes, [this, a_while] {
    Phone& phone = any_phone();
    say("phone %d dies", phone.number);
    phone.crash();
    at(a_while(), [&phone] { phone.start(); });
  });
  sometime(settings.partitions, [this, a_while] {
    Phone& phone = any_phone();
    phone.cut_off = true;
    at(a_while(), [&phone] { phone.cut_off = false; });
  });
  sometime(settings.full_disks, [this, a_while] {
    Phone& phone = any_phone();
    phone.disk_full = true;
    at(a_while(), [&phone] { phone.disk_full = false; });
  });
  sometime(settings.clock_jumps, [this] {
    Phone& phone = any_phone();
    phone.skew_ms += static_cast<std::int64_t>(random.below(4 * 86400000ull)) - 2 * 86400000LL;
    say("phone %d has its clock set", phone.number);
  });
  sometime(settings.exchanges, [this] { exchange(any_phone(), any_phone()); });
  sometime(settings.backups + settings.set_backs, [this] {
    old_disks_.push_back(any_phone().disk);
  });
  sometime(settings.clones, [this] {
    Phone& from = any_phone();
    Phone& to = any_phone();
    if (&from == &to) return;
    say("phone %d becomes a clone of phone %d", to.number, from.number);
    to.crash();
    lose([&] { to.take_over(from.disk); });
    to.start();
  });
  sometime(settings.set_backs, [this] {
    if (old_disks_.empty()) return;
    Phone& phone = any_phone();
    say("phone %d is set back to an old disk", phone.number);
    phone.crash();
    lose([&] { phone.take_over(old_disks_[random.below(old_disks_.size())]); });
    phone.start();
  });
  sometime(settings.resets, [this] {
    Phone& phone = any_phone();
    say("phone %d is reset", phone.number);
    phone.crash();
    lose([&] { phone.take_over({}); });
    phone.start();
  });
  sometime(settings.later_kinds + settings.unreadable, [this] {
    Phone& phone = any_phone();
    phone.crash();
    const int both = settings.later_kinds + settings.unreadable;
    phone.write_as_other_version(static_cast<int>(random.below(static_cast<std::uint64_t>(both))) <
                                 settings.later_kinds);
    phone.start();
  });
}

void World::plan_troubles_of_hub() {
  const auto a_while = [this] { return static_cast<std::int64_t>(random.below(120000)); };
  sometime(settings.hub_outages, [this, a_while] {
    say("the hub is away");
    hub.away = true;
    at(a_while(), [this] { hub.away = false; });
  });
  sometime(settings.hub_full, [this, a_while] {
    say("the hub's disk is full");
    hub.set_full(true);
    at(a_while(), [this] { hub.set_full(false); });
  });
  sometime(settings.strangers, [this, a_while] {
    hub.stranger = static_cast<int>(random.below(phones.size()));
    at(a_while(), [this] { hub.stranger = -1; });
  });
  sometime(settings.backups, [this] {
    say("the hub is backed up");
    hub.back_up();
  });
  const auto set_back = [this](bool by_hand) {
    if (hub.backups() == 0) return;
    say("the hub is set back%s", by_hand ? " by hand" : "");
    lose([&] { hub.restore(random.below(hub.backups()), by_hand); });
  };
  sometime(settings.restores, [set_back] { set_back(false); });
  sometime(settings.replaced_by_hand, [set_back] { set_back(true); });
}

}  // namespace nthtree::simulation
