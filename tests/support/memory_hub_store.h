// SPDX-License-Identifier: Apache-2.0
//
// The hub's store without a disk, for tests and the simulation: the same promises as SQLite's, with
// the disk's failures made on purpose.
//
//   MemoryHubStore store("epoch 1");
//   store.put(…);
//   store.rollback();            // as after a crash before the commit
//   auto backup = store.copy();  // what a backup would hold
#pragma once

#include <functional>
#include <iterator>
#include <map>
#include <set>
#include <tuple>

#include "sync/hub_store.h"

namespace nthtree::test {

class MemoryHubStore : public sync::HubStore {
 public:
  struct Content {
    std::string epoch;
    std::map<std::uint64_t, sync::Arrival> arrivals;
    std::map<ledger::RecordId, std::uint64_t> by_id;
    std::map<ledger::RecordId, sync::HeldRecord> held;  // how each stands, and who brought it
    std::set<ledger::RecordId> removed;
    std::map<ledger::DeviceKey, std::int64_t> owners;
    std::set<std::tuple<ledger::RecordId, std::int64_t, std::string>> set_aside;
    std::map<ledger::DeviceKey, std::uint64_t> backed_up;
    std::map<std::uint64_t, std::string> openings;
    std::uint64_t last = 0;
  };

  explicit MemoryHubStore(std::string epoch) {
    now_.epoch = std::move(epoch);
    note_opening("first");
  }

  std::string epoch() override { return now_.epoch; }
  std::uint64_t last_arrival() override { return now_.last; }
  std::string opening_of(std::uint64_t arrival) override {
    if (arrival == 0) return "";
    return std::prev(now_.openings.upper_bound(arrival))->second;
  }
  // The hub starts.
  void note_opening(std::string opening) { now_.openings[now_.last + 1] = std::move(opening); }
  std::optional<std::string> bytes(const ledger::RecordId& id) override {
    const auto at = now_.by_id.find(id);
    return at == now_.by_id.end() ? std::nullopt
                                  : std::optional(now_.arrivals.at(at->second).bytes);
  }
  std::vector<sync::Arrival> page(std::uint64_t after, std::uint64_t records_max,
                                  std::size_t bytes_max) override {
    std::vector<sync::Arrival> page;
    std::size_t bytes = 0;
    for (auto at = now_.arrivals.upper_bound(after);
         at != now_.arrivals.end() && page.size() < records_max; ++at) {
      bytes += at->second.bytes.size() + 1;
      if (bytes > bytes_max && !page.empty()) break;
      page.push_back(at->second);
    }
    return page;
  }
  std::uint64_t backed_up(const ledger::DeviceKey& device) override {
    const auto at = now_.backed_up.find(device);
    return at == now_.backed_up.end() ? 0 : at->second;
  }
  void each_held(const std::function<void(const sync::HeldRecord&)>& visit) override {
    for (const auto& [id, held] : now_.held) {
      sync::HeldRecord record = held;
      record.bytes = now_.arrivals.at(now_.by_id.at(id)).bytes;
      visit(record);
    }
  }
  void each_removed(const std::function<void(const ledger::RecordId&)>& visit) override {
    for (const ledger::RecordId& id : now_.removed) visit(id);
  }
  void each_owner(const std::function<void(const ledger::DeviceKey&, std::int64_t)>& visit)
      override {
    for (const auto& [device, key] : now_.owners) visit(device, key);
  }
  void each_set_aside(const std::function<void(const ledger::RecordId&, std::int64_t)>& visit)
      override {
    for (const auto& [id, sender, bytes] : now_.set_aside) visit(id, sender);
  }

  void put(std::uint64_t arrival, const ledger::RecordId& id, std::string_view bytes,
           const sync::Standing& standing, const sync::Provenance& from) override {
    if (refuses()) return;
    drop(id);
    now_.arrivals[arrival] = {arrival, id, std::string(bytes), standing};
    now_.by_id[id] = arrival;
    now_.held[id] = {id, standing, from.sender, from.wall_ms};
    const std::uint64_t last = now_.last;
    now_.last = std::max(now_.last, arrival);
    undo_.push_back([this, arrival, id, last] {
      now_.arrivals.erase(arrival);
      now_.by_id.erase(id);
      now_.held.erase(id);
      now_.last = last;
    });
  }
  void drop(const ledger::RecordId& id) override {
    const auto at = now_.by_id.find(id);
    if (refuses() || at == now_.by_id.end()) return;
    const sync::Arrival old = now_.arrivals[at->second];
    const sync::HeldRecord held = now_.held[id];
    now_.arrivals.erase(at->second);
    now_.by_id.erase(at);
    now_.held.erase(id);
    undo_.push_back([this, old, held] {
      now_.arrivals[old.arrival] = old;
      now_.by_id[old.id] = old.arrival;
      now_.held[old.id] = held;
    });
  }
  void remove(std::uint64_t arrival, const ledger::RecordId& id) override {
    if (refuses()) return;
    drop(id);
    now_.arrivals[arrival] = {arrival, id, "", {}};
    now_.removed.insert(id);
    const std::uint64_t last = now_.last;
    now_.last = std::max(now_.last, arrival);
    undo_.push_back([this, arrival, id, last] {
      now_.arrivals.erase(arrival);
      now_.removed.erase(id);
      now_.last = last;
    });
  }
  void set_owner(const ledger::DeviceKey& device, std::int64_t key) override {
    if (refuses()) return;
    const auto at = now_.owners.find(device);
    const auto before = at == now_.owners.end() ? std::nullopt : std::optional(at->second);
    now_.owners[device] = key;
    undo_.push_back([this, device, before] {
      before ? void(now_.owners[device] = *before) : void(now_.owners.erase(device));
    });
  }
  void set_aside(const ledger::RecordId& id, std::string_view bytes, std::string_view,
                 const sync::Provenance& from) override {
    if (refuses()) return;
    const auto [at, added] = now_.set_aside.emplace(id, from.sender, std::string(bytes));
    if (added) undo_.push_back([this, entry = *at] { now_.set_aside.erase(entry); });
  }
  std::optional<base::Error> failure() override {
    if (!refused_) return std::nullopt;
    return base::Error{"disk_full", "the disk is full", ""};
  }

  void commit() { undo_.clear(); }
  void rollback() {
    for (auto undo = undo_.rbegin(); undo != undo_.rend(); ++undo) (*undo)();
    undo_.clear();
    refused_ = false;
  }

  bool full = false;  // from now on every write is refused
  const Content& content() const { return now_; }
  void replace(Content content) {
    undo_.clear();
    now_ = std::move(content);
  }

 private:
  bool refuses() {
    refused_ |= full;
    return full;
  }

  Content now_;
  std::vector<std::function<void()>> undo_;
  bool refused_ = false;
};

}  // namespace nthtree::test
