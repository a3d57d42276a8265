// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"
#include "simulation/phones/check.h"

namespace nthtree::simulation {

void check_seasons(const World& world, Failures& failures) {
  ledger::Season fresh;
  for (const auto& [arrival, record] : world.hub.content().arrivals) {
    auto read = ledger::read_record(record.bytes);
    if (!read || !record.standing.aside.empty()) continue;
    if (record.standing.at_ms != 0) read->stamp = {record.standing.at_ms, 0};
    fresh.apply(*read);
  }
  const std::string expected = fresh.fingerprint();
  for (const Phone& phone : world.phones) {
    if (phone.season.fingerprint() == expected) continue;
    failures.push_back(base::print("seasons: phone %d shows something else than the hub's records",
                                   phone.number));
  }
}

}  // namespace nthtree::simulation
