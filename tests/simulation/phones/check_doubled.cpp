// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"
#include "simulation/phones/check.h"

namespace nthtree::simulation {

void check_doubled(const World& world, Failures& failures) {
  std::set<std::string> seen;
  for (const auto& [arrival, record] : world.hub.content().arrivals) {
    const std::string bytes = first_bytes(record.id, record.bytes);
    if (!seen.insert(bytes).second) failures.push_back("doubled: " + bytes);
    // What a crash kept of an unfinished write is real too; it only was not promised.
    if (!world.made.count(bytes) && !world.forged.count(bytes)) failures.push_back("invented: " + bytes);
  }
}

}  // namespace nthtree::simulation
