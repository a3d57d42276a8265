// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"
#include "simulation/phones/check.h"

namespace nthtree::simulation {

void check_order(const World& world, Failures& failures) {
  for (const Phone& phone : world.phones) {
    for (std::size_t i = 1; i < phone.written.size(); ++i) {
      const auto& before = phone.written[i - 1];
      const auto& after = phone.written[i];
      // The disk may finish two writes in either order; their numbers tell which came first.
      const bool in_order = before.id.device != after.id.device ||
                            (before.id < after.id) == (before.stamp < after.stamp);
      if (!in_order) {
        failures.push_back(base::print("order: phone %d stamped %s and %s in the wrong order",
                                       phone.number, before.id.text().c_str(),
                                       after.id.text().c_str()));
      }
    }
  }
}

}  // namespace nthtree::simulation
