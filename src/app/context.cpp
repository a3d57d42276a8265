// SPDX-License-Identifier: Apache-2.0
#include "app/context.h"

#include <algorithm>

#include "base/clock.h"
#include "base/text.h"

namespace nthtree::app {

sync::Moment Context::moment() {
  sync::Moment now;
  now.wall_ms = platform.wall_ms();
  now.elapsed_ms = platform.elapsed_ms();
  platform.random_bytes(&now.chance, sizeof now.chance);
  return now;
}

ledger::DeviceKey Context::random_key() {
  ledger::DeviceKey key;
  platform.random_bytes(&key.high, sizeof key.high);
  platform.random_bytes(&key.low, sizeof key.low);
  return key;
}

std::string Context::today() const {
  return base::iso_minute(season.day_of(platform.wall_ms()) * base::day_ms).substr(0, 10);
}

std::optional<orchard::Role> Context::role_of(const std::string& person) const {
  const auto& people = season.people();
  const bool has_manager = std::any_of(people.begin(), people.end(), [](const auto& entry) {
    return entry.second.role == orchard::Role::manager;
  });
  if (!has_manager) return std::nullopt;  // anybody may set the farm up
  const orchard::Person* known = season.person(person);
  return known ? known->role : orchard::Role::pruner;
}

}  // namespace nthtree::app
