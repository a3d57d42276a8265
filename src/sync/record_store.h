// SPDX-License-Identifier: Apache-2.0
//
// All records a phone holds, by device and sequence, as bytes; with what each device has in
// ranges. Holds what is on the disk and nothing else: the client changes it when a store is done.
//
// Each is owned or hearsay (standing.h). Not the season (ledger/season.h) and not the disk. Records
// nobody can read are kept too, as bytes under their id, so that they are passed on.
//
//   store.put(id, bytes, Rank::owned);
//   store.coverage().at(device).text();  // "1-17"
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "sync/merge.h"
#include "sync/sequence_set.h"

namespace nthtree::sync {

class RecordStore : public Holdings {
 public:
  // Puts or replaces.
  void put(const ledger::RecordId& id, std::string bytes, Rank rank = Rank::owned);
  void drop(const ledger::RecordId& id);
  // What of this is held counts as hearsay from now on.
  void demote(const Coverage& ids);

  // Null where not held. Good until the next put or drop.
  const std::string* find(const ledger::RecordId& id) const;
  std::optional<std::string> bytes(const ledger::RecordId& id) const override;
  bool holds(const ledger::RecordId& id) const override { return find(id) != nullptr; }
  Rank rank(const ledger::RecordId& id) const override;
  bool ceded(const ledger::RecordId& id) const override { return ceded_.count(id) > 0; }

  const Coverage& hearsay() const { return hearsay_; }
  const Coverage& coverage() const { return coverage_; }
  const SequenceSet& held_of(const ledger::DeviceKey& device) const;
  // The highest sequence that is or ever was a record's of its owner: never to be given again.
  // What others claim about this device takes no number away.
  std::uint64_t highest_used(const ledger::DeviceKey& device) const;
  std::size_t size() const { return size_; }
  // By device and sequence.
  void each(const std::function<void(const ledger::RecordId&, const std::string&)>& visit) const;

 private:
  // Almost every device's records are 1 … n without a hole: a plain array, a third of the memory
  // of a map. What lies beyond a hole waits in `later`.
  struct Line {
    std::vector<std::string> first;  // sequence i + 1; empty text where dropped
    std::map<std::uint64_t, std::string> later;
  };
  std::map<ledger::DeviceKey, Line> lines_;
  Coverage coverage_, hearsay_;
  std::map<ledger::RecordId, Rank> ceded_;  // first ids of re-homed records, with the rank of those
  std::size_t size_ = 0;
};

// A store with changes that are not on the disk yet, so that a whole batch is merged before it is
// stored as one.
class Overlay : public Holdings {
 public:
  explicit Overlay(const RecordStore& store) : store_(store) {}

  // Admits and keeps the change.
  Admission take(const ledger::RecordId& id, std::string_view bytes, Rank rank);
  void drop(const ledger::RecordId& id) { changes_[id] = std::nullopt; }
  void set_rank(const ledger::RecordId& id, Rank rank);  // of what is held

  std::optional<std::string> bytes(const ledger::RecordId& id) const override;
  bool holds(const ledger::RecordId& id) const override;
  Rank rank(const ledger::RecordId& id) const override;
  bool ceded(const ledger::RecordId& id) const override;

  struct Change {
    std::string bytes;
    Rank rank = Rank::owned;
  };
  // What to store, or empty where the id is dropped.
  const std::map<ledger::RecordId, std::optional<Change>>& changes() const { return changes_; }
  void write_to(RecordStore& store) const;  // once it is on the disk

 private:
  const RecordStore& store_;
  std::map<ledger::RecordId, std::optional<Change>> changes_;
  std::set<ledger::RecordId> ceded_;
};

}  // namespace nthtree::sync
