// SPDX-License-Identifier: Apache-2.0
#include "sync/merge.h"

#include <algorithm>

namespace nthtree::sync {
namespace {

// One slot is contested at a time; this carries what the steps share.
class Settling {
  using Outcome = Admission::Outcome;

 public:
  explicit Settling(const Holdings& holdings) : holdings_(holdings) {}

  void take(const ledger::RecordId& id, std::string_view bytes, Rank rank) {
    const auto original = original_of(id, bytes);
    original ? take_rehomed(id, bytes, rank, *original) : take_into_slot(id, bytes, rank);
  }

  Admission admission;

 private:
  void put(RawRecord record, Rank rank) { admission.puts.push_back({std::move(record), rank}); }

  // Under its own first id: alone, beside what loses to it, or moved away.
  void take_into_slot(const ledger::RecordId& id, std::string_view bytes, Rank rank) {
    const std::optional<std::string> held = holdings_.bytes(id);
    if (!held) return settle_in(id, bytes, rank, Outcome::added);
    const Rank held_rank = holdings_.rank(id);
    if (*held == bytes) {
      if (rank > held_rank) settle_in(id, bytes, rank, Outcome::confirmed);
      return;
    }
    // An id that is the digest of what stands there cannot be claimed for anything else.
    const bool held_for_good = original_of(id, *held).has_value();
    const bool arrival_wins =
        !held_for_good && (rank != held_rank ? rank > held_rank : keeps_id(bytes, *held));
    if (!arrival_wins) return move_away(bytes, rank, Outcome::conflict);
    settle_in(id, bytes, rank, Outcome::conflict);
    move_away(*held, held_rank, Outcome::conflict);
  }

  void settle_in(const ledger::RecordId& id, std::string_view bytes, Rank rank, Outcome outcome) {
    if (holdings_.ceded(id)) {  // it may have lost this id before, and now has it again
      const ledger::RecordId moved = rehomed_id(bytes);
      if (holdings_.holds(moved) && original_of(moved, *holdings_.bytes(moved))) {
        rank = std::max(rank, holdings_.rank(moved));
        admission.drops.push_back(moved);
      }
    }
    admission.outcome = outcome;
    put({id, std::string(bytes)}, rank);
  }

  void move_away(std::string_view bytes, Rank rank, Outcome outcome) {
    std::optional<RawRecord> moved = rehome(bytes);
    if (!moved) {
      if (admission.puts.empty()) admission.outcome = Outcome::no_place;
      if (const auto id = peek_id(bytes)) admission.out.push_back({*id, std::string(bytes)});
      return;
    }
    keep_rehomed(std::move(*moved), rank, outcome);
  }

  void keep_rehomed(RawRecord moved, Rank rank, Outcome outcome) {
    const std::optional<std::string> held = holdings_.bytes(moved.id);
    if (held && *held == moved.bytes) {
      if (rank <= holdings_.rank(moved.id)) return;
      outcome = Outcome::confirmed;
    } else if (held) {
      // Somebody took this id for bytes it is not the digest of.
      const Rank squatters = holdings_.rank(moved.id);
      put(std::move(moved), rank);
      admission.outcome = Outcome::conflict;
      move_away(*held, squatters, Outcome::conflict);
      return;
    }
    // Where it moved away for another, that is what happened.
    if (admission.outcome == Outcome::already_held) admission.outcome = outcome;
    put(std::move(moved), rank);
  }

  void take_rehomed(const ledger::RecordId& id, std::string_view bytes, Rank rank,
                    const RawRecord& original) {
    const std::optional<std::string> slot = holdings_.bytes(original.id);
    const bool stands_there = slot && *slot == original.bytes;
    if (rank == Rank::owned || stands_there) {
      // Its owner vouches for it under its first id; or nobody disputes it there.
      if (!slot || stands_there) admission.wanted = original.id;
      return take_into_slot(original.id, original.bytes, rank);
    }
    keep_rehomed({id, std::string(bytes)}, rank, Outcome::added);
  }

  const Holdings& holdings_;
};

}  // namespace

Admission admit(const Holdings& holdings, const ledger::RecordId& id, std::string_view bytes,
                Rank rank) {
  Settling settling(holdings);
  settling.take(id, bytes, rank);
  return std::move(settling.admission);
}

}  // namespace nthtree::sync
