// SPDX-License-Identifier: Apache-2.0
#include "sync/merge.h"

namespace nthtree::sync {
namespace {

void settle_conflict(const Holdings& holdings, const ledger::RecordId& id, std::string_view held,
                     std::string_view bytes, Admission& admission) {
  const bool arrival_wins = !keeps_id(held, bytes);
  const std::string_view loser = arrival_wins ? held : bytes;
  std::optional<Place> moved = rehome(loser);
  // Only a record that was re-homed itself can be too long for it, and such an id is the digest of
  // its bytes: whoever claims it for other bytes made them up.
  if (!moved) return;
  admission.outcome = Admission::Outcome::conflict;
  if (!holdings.bytes(moved->id)) {
    admission.puts.push_back(std::move(*moved));
  } else if (!arrival_wins) {
    admission.outcome = Admission::Outcome::already_held;
  }
  if (arrival_wins) admission.puts.push_back({id, std::string(bytes)});
}

}  // namespace

Admission admit(const Holdings& holdings, const ledger::RecordId& id, std::string_view bytes) {
  Admission admission;
  const std::optional<std::string> held = holdings.bytes(id);
  if (held && *held == bytes) return admission;
  // It lost this id before: it is here already, under the other id.
  if (holdings.ceded(id) && holdings.bytes(rehomed_id(bytes))) return admission;

  if (held) {
    settle_conflict(holdings, id, *held, bytes, admission);
    return admission;
  }
  admission.outcome = Admission::Outcome::added;
  admission.puts.push_back({id, std::string(bytes)});
  if (const auto original = original_of(id, bytes)) {
    if (holdings.bytes(original->id) == original->bytes) admission.drops.push_back(original->id);
  }
  return admission;
}

}  // namespace nthtree::sync
