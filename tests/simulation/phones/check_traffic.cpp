// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"
#include "simulation/phones/check.h"

namespace nthtree::simulation {

void check_traffic(const World& world, Failures& failures) {
  const double allowed = world.messages_allowed(world.quiet_ms);
  const auto said = static_cast<double>(world.quiet_messages);
  if (said > allowed) {
    failures.push_back(base::print("traffic: %.0f messages in the quiet, %.0f allowed", said,
                                   allowed));
  }
}

}  // namespace nthtree::simulation
