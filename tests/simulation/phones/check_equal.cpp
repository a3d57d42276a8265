// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"
#include "simulation/phones/check.h"

namespace nthtree::simulation {

void check_equal(const World& world, Failures& failures) {
  for (const Phone& phone : world.phones) {
    const auto [same, other] = world.compared_with_hub(phone);
    if (other > 0 || same != world.honest_at_hub()) {
      failures.push_back(base::print("equal: phone %d shares %zu of the hub's %zu records and has "
                                     "%zu others", phone.number, same, world.honest_at_hub(), other));
    }
    if (phone.client->store().size() != phone.disk.records.size()) {
      failures.push_back(base::print("equal: phone %d holds %zu records and its disk %zu",
                                     phone.number, phone.client->store().size(),
                                     phone.disk.records.size()));
    }
  }
}

}  // namespace nthtree::simulation
