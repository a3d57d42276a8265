// SPDX-License-Identifier: Apache-2.0
#include "ledger/authority.h"
#include "simulation/phones/check.h"

namespace nthtree::simulation {
namespace {

// What one pruner's key may reach: a count of its own, or one that it says somebody else made. That
// one stays hearsay.
const char* why_too_much(const World& world, const sync::Arrival& arrival) {
  if (!arrival.standing.aside.empty()) return nullptr;
  const auto record = ledger::read_record(arrival.bytes);
  if (!record) return nullptr;
  if (record->stamp.at_ms > world.hub.wall_ms + 3600000 && arrival.standing.at_ms == 0) {
    return "is ordered years ahead";
  }
  if (ledger::role_needed(record->body) > orchard::Role::pruner) return "is above its role";
  if (record->replaces && record->replaces->device != record->id.device) return "corrects others";
  return nullptr;
}

}  // namespace

void check_trust(const World& world, Failures& failures) {
  std::set<ledger::DeviceKey> honest;
  for (const Phone& phone : world.phones) honest.insert(phone.device);
  for (const auto& [number, arrival] : world.hub.content().arrivals) {
    if (!world.is_forged(arrival.id, arrival.bytes)) continue;
    const char* why = why_too_much(world, arrival);
    const bool in_an_honest_name =
        honest.count(arrival.id.device) && arrival.standing.rank == sync::Rank::owned;
    if (in_an_honest_name) why = "stands as written by an honest phone";
    if (why) failures.push_back(std::string("trust: a forged record ") + why + ": " + arrival.bytes);
  }
}

}  // namespace nthtree::simulation
