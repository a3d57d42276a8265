// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"
#include "simulation/phones/check.h"

namespace nthtree::simulation {

// A phone at rest asks for news every 20 s and says hello every 60 s; catching up takes more.
constexpr double messages_per_second_max = 1;

void check_traffic(const World& world, Failures& failures) {
  const double seconds = static_cast<double>(world.quiet_ms) / 1000 + 60;
  const double each = static_cast<double>(world.quiet_messages) /
                      static_cast<double>(world.phones.size()) / seconds;
  if (each > messages_per_second_max) {
    failures.push_back(base::print("traffic: %.2f messages a second and phone", each));
  }
}

}  // namespace nthtree::simulation
