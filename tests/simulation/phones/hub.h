// SPDX-License-Identifier: Apache-2.0
//
// The hub of the simulated farm: the real sync::HubSide on a store in memory that can crash around
// a commit, fill up, be backed up and be set back.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/random.h"
#include "simulation/phones/draw.h"
#include "support/memory_hub_store.h"
#include "sync/hub_side.h"

namespace nthtree::simulation {

// The store with the faults that live in a store.
class FaultyStore : public test::MemoryHubStore {
 public:
  FaultyStore(std::string epoch, Fault fault, base::Random& random)
      : MemoryHubStore(std::move(epoch)), fault_(fault), random_(random) {}

  void put(std::uint64_t arrival, const ledger::RecordId& id, std::string_view bytes,
           const sync::Standing& standing, const sync::Provenance& from) override;
  std::vector<sync::Arrival> page(std::uint64_t after, std::uint64_t records_max,
                                  std::size_t bytes_max) override;

 private:
  Fault fault_;
  base::Random& random_;
};

// Phones that write only their own counts, that also re-count and advise, and that may do all.
orchard::Role role_of(int phone);
inline constexpr int hostile_phone = 1000;

class Hub {
 public:
  Hub(const Settings& settings, base::Random& random);

  // The answer, or none where the hub is away or dies over it.
  std::optional<sync::HubReply> answer(const std::string& path, std::string body, int phone,
                                       const std::string& bearer);

  void back_up();
  void restore(std::size_t backup, bool by_hand);  // by hand: the file is replaced, epoch and all
  std::size_t backups() const { return backups_.size(); }
  const test::MemoryHubStore::Content& backup(std::size_t i) const { return backups_[i]; }

  const test::MemoryHubStore::Content& content() const { return store_.content(); }
  const std::map<std::string, sync::Sender>& keys() const { return keys_; }
  void set_full(bool full) { store_.full = full; }

  bool away = false;
  bool calm = false;          // no more crashes
  int stranger = -1;          // a phone whose key is not known for now
  std::int64_t wall_ms = 0;
  std::uint64_t requests = 0;

 private:
  void crash();
  void open();

  Settings settings_;
  base::Random& random_;
  FaultyStore store_;
  std::map<std::string, sync::Sender> keys_;  // by bearer
  sync::HubSide side_;
  std::vector<test::MemoryHubStore::Content> backups_;
  int epochs_ = 1, starts_ = 0;
};

}  // namespace nthtree::simulation
