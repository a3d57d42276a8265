// SPDX-License-Identifier: Apache-2.0
//
// What the hub believes of whom: whose a device is, what a record may do, and what it is ordered
// by. THREATS.md has the reasons.
#include <algorithm>

#include "ledger/authority.h"
#include "sync/hub_side.h"

namespace nthtree::sync {

std::int64_t HubSide::owner_of(const ledger::DeviceKey& device) const {
  const auto owner = owners_.find(device);
  if (owner != owners_.end()) return owner->second;
  // A re-homed record is its first device's.
  const auto first = first_ids_.find(device);
  if (first == first_ids_.end()) return -1;
  const auto origin = owners_.find(first->second.device);
  return origin == owners_.end() ? -1 : origin->second;
}

// A device is its key's who shows the text that it is the digest of: nobody can guess it, and
// whoever comes first to claim a device seen elsewhere gets nothing.
bool HubSide::claim(const ledger::DeviceKey& device, const std::vector<std::string>& proofs,
                    const Sender& sender) {
  for (const std::string& proof : proofs) {
    const ledger::DeviceKey shown = device_of_proof(proof);
    const auto [owner, is_new] = owners_.emplace(shown, sender.key);
    if (!is_new && owner->second == sender.key) continue;
    owner->second = sender.key;
    store_.set_owner(shown, sender.key);
  }
  return owner_of(device) == sender.key;
}

Rank HubSide::rank_from(const Sender& sender, const ledger::RecordId& id,
                        std::string_view bytes) const {
  if (sender.key == 0) return Rank::owned;  // the hub's own people
  const auto original = original_of(id, bytes);
  return owner_of(original ? original->id.device : id.device) == sender.key ? Rank::owned
                                                                           : Rank::hearsay;
}

Standing HubSide::judge(const ledger::RecordId& id, const RecordFacts& facts,
                        const Sender& sender, const Standing& told,
                        std::int64_t wall_ms) const {
  Standing standing{told.rank, why_aside(id, facts, sender, told.rank),
                    order_ms(id, facts, told, wall_ms)};
  // Whoever relays it knows it to be set aside: a hub that was set back has forgotten why.
  const bool is_word = told.aside.size() <= 16;
  if (standing.aside.empty() && told.rank == Rank::hearsay && is_word) standing.aside = told.aside;
  return standing;
}

std::string HubSide::why_aside(const ledger::RecordId& id, const RecordFacts& facts,
                               const Sender& sender, Rank rank) const {
  if (facts.kind == 0) return "";  // it changes no number anyway
  if (sender.role < facts.needed) return std::string(aside_role);
  const bool is_pruners = sender.role == orchard::Role::pruner;
  if (is_pruners && rank == Rank::owned && !sender.person.empty() && !facts.author.empty() &&
      facts.author != sender.person) {
    return std::string(aside_author);
  }
  return facts.replaces ? why_no_correction(id, facts, sender, rank) : "";
}

// A pruner corrects what that key wrote, or what the same person wrote with another; a lead what a
// lead may write; a manager everything. Of a correction that is only relayed nobody knows whose it
// is: whoever brings it, what it says of another device's record waits for its owner. (A manager's
// phone brings what it was handed, and a file does not say how the hub had judged it.)
std::string HubSide::why_no_correction(const ledger::RecordId& id, const RecordFacts& facts,
                                       const Sender& sender, Rank rank) const {
  if (rank == Rank::hearsay && facts.replaces->device != id.device) {
    return std::string(aside_relayed);
  }
  if (sender.role == orchard::Role::manager) return "";
  const auto target = ledger::read_record(bytes(*facts.replaces).value_or(""));
  if (target && sender.role < ledger::role_needed(target->body)) return std::string(aside_role);
  if (sender.role == orchard::Role::lead) return "";
  if (rank == Rank::hearsay) return std::string(aside_relayed);
  if (owner_of(facts.replaces->device) == sender.key) return "";
  const bool same_person = target && !sender.person.empty() && target->author == sender.person;
  return same_person ? "" : std::string(aside_not_own);
}

// A stamp may lie a little ahead of its arrival, and not before what its device wrote earlier.
// Where it claims more, the record is ordered by its device's plain clock if that is within the
// same bounds, and else by its arrival.
std::int64_t HubSide::order_ms(const ledger::RecordId& id, const RecordFacts& facts,
                               const Standing& told, std::int64_t wall_ms) const {
  if (facts.stamp.at_ms == 0) return 0;  // not readable here
  const std::int64_t most = wall_ms + stamp_ahead_ms_max;
  std::int64_t least = 0;
  const auto latest = latest_.find(id.device);
  if (told.rank == Rank::owned && latest != latest_.end() &&
      latest->second.sequence < id.sequence) {
    least = std::min(latest->second.at_ms, most);
  }
  const auto within = [&](std::int64_t ms) { return ms >= least && ms <= most; };
  if (within(facts.stamp.at_ms)) return 0;
  if (told.at_ms != 0 && within(told.at_ms)) return told.at_ms;  // by an earlier word of a hub
  if (facts.stamp.at_ms > most && within(facts.clock_ms)) return facts.clock_ms;
  return facts.stamp.at_ms > most ? std::max(least, wall_ms) : least;
}

bool HubSide::makes_a_hole_too_many(const ledger::RecordId& id) const {
  const auto held = held_.find(id.device);
  if (held == held_.end() || held->second.ranges().size() < holes_max) return false;
  return !held->second.contains(id.sequence - 1) && !held->second.contains(id.sequence + 1);
}

std::vector<ledger::RecordId> HubSide::held_of(
    std::int64_t key, const std::function<bool(const HeldRecord&)>& wanted) {
  std::vector<ledger::RecordId> ids;
  store_.each_held([&](const HeldRecord& held) {
    if (held.sender == key && wanted(held)) ids.push_back(held.id);
  });
  return ids;
}

std::uint64_t HubSide::set_aside_all_of(std::int64_t key, std::int64_t since_ms,
                                        std::int64_t wall_ms) {
  const auto brought = held_of(key, [&](const HeldRecord& held) {
    return held.received_ms >= since_ms && held.standing.aside != aside_removed;
  });
  for (const auto& [id, bytes] : store_.bytes_of(brought)) {
    Standing standing = standing_of(id);
    standing.aside = std::string(aside_removed);
    put(id, bytes, standing, {key, "", wall_ms});
  }
  return brought.size();
}

std::uint64_t HubSide::judge_again(const Sender& sender, std::int64_t wall_ms) {
  return judge_anew(sender, wall_ms, {aside_role, aside_author, aside_not_own});
}

std::uint64_t HubSide::count_again(const Sender& sender, std::int64_t wall_ms) {
  return judge_anew(sender, wall_ms, {aside_removed});
}

std::uint64_t HubSide::judge_anew(const Sender& sender, std::int64_t wall_ms,
                                  std::initializer_list<std::string_view> reasons) {
  const auto judged = held_of(sender.key, [&](const HeldRecord& held) {
    return std::find(reasons.begin(), reasons.end(), held.standing.aside) != reasons.end();
  });
  std::uint64_t counted = 0;
  for (const auto& [id, bytes] : store_.bytes_of(judged)) {
    const auto record = ledger::read_record(bytes);
    Standing standing = standing_of(id);
    if (!record) continue;
    const std::string why = why_aside(id, facts_of(*record), sender, standing.rank);
    if (why == standing.aside) continue;
    standing.aside = why;
    put(id, bytes, standing, {sender.key, sender.name, wall_ms});
    counted += why.empty();
  }
  return counted;
}

}  // namespace nthtree::sync
