// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"
#include "simulation/phones/check.h"

namespace nthtree::simulation {

void check_backup(const World& world, Failures& failures) {
  for (const Phone& phone : world.phones) {
    const std::uint64_t head = phone.client->status().own_backed_up;
    bool is_safe = head == 0;
    for (std::size_t i = 0; i < world.hub.backups() && !is_safe; ++i) {
      const auto& backup = world.hub.backup(i);
      std::uint64_t held = 0;
      for (std::uint64_t s = 1; s <= head; ++s) {
        // Held, or moved to another id because two records claimed this one.
        const ledger::RecordId id{phone.device, s};
        bool here = backup.by_id.count(id) > 0;
        for (const auto& [arrival, record] : backup.arrivals) {
          const auto first = here ? std::nullopt : sync::original_of(record.id, record.bytes);
          here = here || (first && first->id == id);
        }
        held += here;
      }
      is_safe = held == head;
    }
    if (is_safe) continue;
    failures.push_back(base::print("backup: phone %d believes %llu records safe that are in no "
                                   "backup", phone.number, static_cast<unsigned long long>(head)));
  }
}

}  // namespace nthtree::simulation
