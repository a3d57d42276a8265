// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"
#include "simulation/phones/check.h"

namespace nthtree::simulation {

void check_set_aside(const World& world, Failures& failures) {
  // Messages cut short and records of later versions come by, and none of them is no record.
  for (const auto& [id, sender, bytes] : world.hub.content().set_aside) {
    if (sender == world.hostile.key() || world.is_forged(id, bytes)) continue;
    failures.push_back("set aside: the hub took for no record: " + bytes);
  }
}

}  // namespace nthtree::simulation
