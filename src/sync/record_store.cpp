// SPDX-License-Identifier: Apache-2.0
#include "sync/record_store.h"

#include <algorithm>

#include "base/result.h"

namespace nthtree::sync {
namespace {

void remove(Coverage& from, const ledger::RecordId& id) {
  const auto device = from.find(id.device);
  if (device == from.end()) return;
  device->second.remove(id.sequence);
  if (device->second.empty()) from.erase(device);
}

}  // namespace

void RecordStore::put(const ledger::RecordId& id, std::string bytes, Rank rank) {
  NTHTREE_ASSERT(id.sequence > 0 && !bytes.empty());
  Line& line = lines_[id.device];
  std::string* place = nullptr;
  if (id.sequence <= line.first.size()) {
    place = &line.first[id.sequence - 1];
  } else if (id.sequence == line.first.size() + 1) {
    place = &line.first.emplace_back();
    // A hole was filled: what waited behind it moves up.
    for (auto next = line.later.begin();
         next != line.later.end() && next->first == line.first.size() + 1;
         next = line.later.erase(next)) {
      line.first.push_back(std::move(next->second));
    }
    place = &line.first[id.sequence - 1];
  } else {
    place = &line.later[id.sequence];
  }
  if (place->empty()) {
    ++size_;
    coverage_[id.device].add(id.sequence);
  }
  *place = std::move(bytes);
  rank == Rank::hearsay ? hearsay_[id.device].add(id.sequence) : remove(hearsay_, id);
  if (const auto original = original_of(id, *place)) {
    const auto [left, is_new] = ceded_.emplace(original->id, rank);
    left->second = std::max(left->second, rank);
  }
}

void RecordStore::drop(const ledger::RecordId& id) {
  if (!find(id)) return;
  Line& line = lines_[id.device];
  if (id.sequence <= line.first.size()) {
    line.first[id.sequence - 1].clear();
  } else {
    line.later.erase(id.sequence);
  }
  --size_;
  remove(coverage_, id);
  remove(hearsay_, id);
}

void RecordStore::demote(const Coverage& ids) {
  for (const auto& [device, set] : ids) {
    const SequenceSet here = set.common_with(held_of(device));
    if (!here.empty()) hearsay_[device].add(here);
  }
}

Rank RecordStore::rank(const ledger::RecordId& id) const {
  return contains(hearsay_, id) ? Rank::hearsay : Rank::owned;
}

const std::string* RecordStore::find(const ledger::RecordId& id) const {
  const auto line = lines_.find(id.device);
  if (line == lines_.end() || id.sequence == 0) return nullptr;
  if (id.sequence <= line->second.first.size()) {
    const std::string& bytes = line->second.first[id.sequence - 1];
    return bytes.empty() ? nullptr : &bytes;
  }
  const auto later = line->second.later.find(id.sequence);
  return later == line->second.later.end() ? nullptr : &later->second;
}

std::optional<std::string> RecordStore::bytes(const ledger::RecordId& id) const {
  const std::string* held = find(id);
  return held ? std::optional<std::string>(*held) : std::nullopt;
}

const SequenceSet& RecordStore::held_of(const ledger::DeviceKey& device) const {
  static const SequenceSet nothing;
  const auto covered = coverage_.find(device);
  return covered == coverage_.end() ? nothing : covered->second;
}

std::uint64_t RecordStore::highest_used(const ledger::DeviceKey& device) const {
  const auto claimed = hearsay_.find(device);
  std::uint64_t highest = claimed == hearsay_.end()
                              ? held_of(device).highest()
                              : held_of(device).minus(claimed->second).highest();
  for (auto left = ceded_.lower_bound({device, 0}); left != ceded_.end(); ++left) {
    if (left->first.device != device) break;
    if (left->second == Rank::owned) highest = std::max(highest, left->first.sequence);
  }
  return highest;
}

void RecordStore::each(
    const std::function<void(const ledger::RecordId&, const std::string&)>& visit) const {
  for (const auto& [device, line] : lines_) {
    for (std::size_t i = 0; i < line.first.size(); ++i) {
      if (!line.first[i].empty()) visit({device, i + 1}, line.first[i]);
    }
    for (const auto& [sequence, bytes] : line.later) visit({device, sequence}, bytes);
  }
}

Admission Overlay::take(const ledger::RecordId& id, std::string_view bytes, Rank rank) {
  Admission admission = admit(*this, id, bytes, rank);
  for (const ledger::RecordId& dropped : admission.drops) drop(dropped);
  for (const Put& put : admission.puts) {
    changes_[put.record.id] = Change{put.record.bytes, put.rank};
    const auto original = original_of(put.record.id, put.record.bytes);
    if (original) ceded_.insert(original->id);
  }
  return admission;
}

void Overlay::set_rank(const ledger::RecordId& id, Rank rank) {
  if (auto held = bytes(id)) changes_[id] = Change{std::move(*held), rank};
}

std::optional<std::string> Overlay::bytes(const ledger::RecordId& id) const {
  const auto change = changes_.find(id);
  if (change == changes_.end()) return store_.bytes(id);
  return change->second ? std::optional<std::string>(change->second->bytes) : std::nullopt;
}

bool Overlay::holds(const ledger::RecordId& id) const {
  const auto change = changes_.find(id);
  return change == changes_.end() ? store_.holds(id) : change->second.has_value();
}

Rank Overlay::rank(const ledger::RecordId& id) const {
  const auto change = changes_.find(id);
  return change == changes_.end() || !change->second ? store_.rank(id) : change->second->rank;
}

bool Overlay::ceded(const ledger::RecordId& id) const {
  return ceded_.count(id) > 0 || store_.ceded(id);
}

void Overlay::write_to(RecordStore& store) const {
  for (const auto& [id, change] : changes_) {
    if (change) {
      store.put(id, change->bytes, change->rank);
    } else {
      store.drop(id);
    }
  }
}

}  // namespace nthtree::sync
