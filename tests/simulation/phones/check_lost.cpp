// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"
#include "simulation/phones/check.h"

namespace nthtree::simulation {

void check_lost(const World& world, Failures& failures) {
  std::set<std::string> held;
  for (const auto& [arrival, record] : world.hub.content().arrivals) {
    held.insert(first_bytes(record.id, record.bytes));
  }
  for (const std::string& bytes : world.saved) {
    if (held.count(bytes) || world.excused.count(bytes)) continue;
    failures.push_back("lost: " + bytes);
  }
}

}  // namespace nthtree::simulation
