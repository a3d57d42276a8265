// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"
#include "simulation/phones/check.h"

namespace nthtree::simulation {

void check_drained(const World& world, Failures& failures) {
  for (const Phone& phone : world.phones) {
    const auto unsent = phone.client->status().unsent;
    if (unsent == 0) continue;
    failures.push_back(base::print("drained: phone %d still has %llu records to send", phone.number,
                                   static_cast<unsigned long long>(unsent)));
  }
}

}  // namespace nthtree::simulation
