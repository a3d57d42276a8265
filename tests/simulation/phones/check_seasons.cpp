// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"
#include "simulation/phones/check.h"

namespace nthtree::simulation {
namespace {

using Counted = std::map<ledger::RecordId, ledger::Record>;

Counted counted_at(const Hub& hub) {
  Counted counted;
  for (const auto& [arrival, record] : hub.content().arrivals) {
    auto read = ledger::read_record(record.bytes);
    if (!read || !record.standing.aside.empty()) continue;
    if (record.standing.at_ms != 0) read->stamp = {record.standing.at_ms, 0};
    counted[read->id] = std::move(*read);
  }
  return counted;
}

// The first record that stands otherwise here and there, for whoever looks for the cause.
std::string first_other(const Phone& phone, Counted at_hub) {
  std::string other;
  phone.client->each_counted([&](const ledger::Record& record) {
    const auto same = at_hub.find(record.id);
    if (!other.empty()) return;
    if (same == at_hub.end()) return void(other = "counts " + record.bytes);
    if (same->second.bytes != record.bytes) other = "has other bytes: " + record.bytes;
    if (!(same->second.stamp == record.stamp)) other = "orders otherwise: " + record.bytes;
    at_hub.erase(same);
  });
  if (!other.empty()) return other;
  return at_hub.empty() ? "was told otherwise" : "does not count " + at_hub.begin()->second.bytes;
}

}  // namespace

void check_seasons(const World& world, Failures& failures) {
  const Counted at_hub = counted_at(world.hub);
  ledger::Season fresh;
  for (const auto& [id, record] : at_hub) fresh.apply(record);
  const std::string expected = fresh.fingerprint();
  for (const Phone& phone : world.phones) {
    if (phone.season.fingerprint() == expected) continue;
    failures.push_back(base::print("seasons: phone %d shows something else than the hub's records: "
                                   "it %s", phone.number, first_other(phone, at_hub).c_str()));
  }
}

}  // namespace nthtree::simulation
