// SPDX-License-Identifier: Apache-2.0
//
// All records a phone holds, by device and sequence, as bytes; with what each device has in
// ranges. Holds what is on the disk and nothing else: the client changes it when a store is done.
//
// Each is owned or hearsay (standing.h). Not the season (ledger/season.h) and not the disk. Records
// nobody can read are kept too, as bytes under their id, so that they are passed on.
//
// Each whole thousand of a device is packed (packed_lines.h), a quarter of its bytes, and so is a
// part of one that came packed; what was looked up last stays unpacked for a while. Whoever wants
// many asks by each_of, not one by one.
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
#include "sync/packed_lines.h"
#include "sync/sequence_set.h"
#include "sync/unpacked_blocks.h"

namespace nthtree::sync {

class RecordStore : public Holdings {
 public:
  // Records 1 … 1000 of a device are its first block, and so on.
  static constexpr std::size_t block_records = 1000;

  // Puts or replaces.
  void put(const ledger::RecordId& id, std::string bytes, Rank rank = Rank::owned);
  // So many records of a device, packed: those of a block from its first one on.
  struct Packed {
    ledger::DeviceKey device;
    std::uint64_t first = 0;  // sequence
    std::size_t records = 0;
    std::string lines;
  };
  // Puts them, and returns the records, to be read once, before the next put or drop. hearsay: what
  // of them is not owned. Empty, and nothing is put, where they are not these records, or not the
  // next ones of their device.
  std::optional<PartedLines> put_packed(Packed packed, const SequenceSet& hearsay = {});
  void drop(const ledger::RecordId& id);
  // What of this is held counts as hearsay from now on.
  void demote(const Coverage& ids);

  std::optional<std::string> bytes(const ledger::RecordId& id) const override;
  bool holds(const ledger::RecordId& id) const override { return contains(coverage_, id); }
  Rank rank(const ledger::RecordId& id) const override;
  bool ceded(const ledger::RecordId& id) const override { return ceded_.count(id) > 0; }

  const Coverage& hearsay() const { return hearsay_; }
  const Coverage& coverage() const { return coverage_; }
  const SequenceSet& held_of(const ledger::DeviceKey& device) const;
  // The highest sequence that is or ever was a record's of its owner: never to be given again.
  // What others claim about this device takes no number away.
  std::uint64_t highest_used(const ledger::DeviceKey& device) const;
  std::size_t size() const { return size_; }

  using Visit = std::function<void(const ledger::RecordId&, std::string_view)>;
  // What of these is held, by device and sequence.
  void each_of(const Coverage& ids, const Visit& visit) const;
  void each(const Visit& visit) const { each_of(coverage_, visit); }
  // How many of these are held.
  struct Amount {
    std::size_t records = 0, bytes = 0;  // bytes: with a line break behind each
  };
  Amount amount(const Coverage& ids) const;
  // What is packed of the block that begins with this sequence, until the next put or drop: all of
  // it where it is whole.
  std::string_view packed(const ledger::DeviceKey& device, std::uint64_t first) const;
  // Lets go of what was looked up last, some 200 KB a block.
  void rest() const { unpacked_.clear(); }

 private:
  struct Block {
    std::string packed;              // its first records
    std::size_t packed_records = 0;  // so many
    std::size_t packed_bytes = 0;    // of the text in it, with line breaks
    std::vector<std::string> plain;  // those behind; empty text where dropped
    std::size_t size() const { return packed_records + plain.size(); }
    Lines lines() const;             // the packed ones
    void unpack();
    void pack();
  };
  // Almost every device's records are 1 … n without a hole. What lies beyond one waits in `later`.
  struct OfDevice {
    std::vector<Block> blocks;
    std::uint64_t length = 0;  // n
    std::map<std::uint64_t, std::string> later;
  };

  void pack_if_whole(const ledger::RecordId& id, Block& block);
  void append(const ledger::DeviceKey& key, OfDevice& device, std::string bytes);
  std::vector<std::string>& opened(const ledger::RecordId& id, Block& block);
  void replace(Block& block, const ledger::RecordId& id, std::string bytes);
  void note_ceded(const ledger::RecordId& id, std::string_view bytes, Rank rank);
  void each_in(const Block& block, const ledger::DeviceKey& device, SequenceSet::Range range,
               const Visit& visit) const;
  template <typename VisitBlock, typename VisitLater>
  void each_block_of(const Coverage& ids, VisitBlock&& in_block, VisitLater&& later) const;

  std::map<ledger::DeviceKey, OfDevice> devices_;
  Coverage coverage_, hearsay_;
  std::map<ledger::RecordId, Rank> ceded_;  // first ids of re-homed records, with the rank of those
  std::size_t size_ = 0;
  mutable UnpackedBlocks unpacked_;  // what was looked up last
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
