// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"
#include "simulation/phones/check.h"

namespace nthtree::simulation {

void check_equal(const World& world, Failures& failures) {
  const auto& hub = world.hub.content();
  for (const Phone& phone : world.phones) {
    std::size_t same = 0, other = 0;
    for (const auto& [id, bytes] : phone.disk.records) {
      const auto at = hub.by_id.find(id);
      if (at != hub.by_id.end() && hub.arrivals.at(at->second).bytes == bytes) {
        ++same;
      } else {
        ++other;
      }
    }
    if (other > 0 || same != hub.by_id.size()) {
      failures.push_back(base::print("equal: phone %d shares %zu of the hub's %zu records and has "
                                     "%zu others", phone.number, same, hub.by_id.size(), other));
    }
    if (phone.client->book().size() != phone.disk.records.size()) {
      failures.push_back(base::print("equal: phone %d holds %zu records and its disk %zu",
                                     phone.number, phone.client->book().size(),
                                     phone.disk.records.size()));
    }
  }
}

}  // namespace nthtree::simulation
