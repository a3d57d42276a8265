// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"
#include "simulation/phones/check.h"

namespace nthtree::simulation {

void check_keys(const World& world, Failures& failures) {
  std::map<ledger::DeviceKey, int> owners;
  for (const Phone& phone : world.phones) {
    const auto [owner, is_new] = owners.emplace(phone.device, phone.number);
    if (is_new) continue;
    failures.push_back(base::print("keys: phones %d and %d write under one key", owner->second,
                                   phone.number));
  }
}

}  // namespace nthtree::simulation
