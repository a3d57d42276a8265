// SPDX-License-Identifier: Apache-2.0
#include "sync/book.h"

#include <algorithm>
#include <iterator>

#include "base/result.h"

namespace nthtree::sync {

void Book::put(const ledger::RecordId& id, std::string_view bytes) {
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
  *place = bytes;
  if (const auto original = original_of(id, bytes)) ceded_.insert(original->id);
}

void Book::drop(const ledger::RecordId& id) {
  if (!find(id)) return;
  Line& line = lines_[id.device];
  if (id.sequence <= line.first.size()) {
    line.first[id.sequence - 1].clear();
  } else {
    line.later.erase(id.sequence);
  }
  --size_;
  const auto covered = coverage_.find(id.device);
  covered->second.remove(id.sequence);
  if (covered->second.empty()) coverage_.erase(covered);
}

const std::string* Book::find(const ledger::RecordId& id) const {
  const auto line = lines_.find(id.device);
  if (line == lines_.end() || id.sequence == 0) return nullptr;
  if (id.sequence <= line->second.first.size()) {
    const std::string& bytes = line->second.first[id.sequence - 1];
    return bytes.empty() ? nullptr : &bytes;
  }
  const auto later = line->second.later.find(id.sequence);
  return later == line->second.later.end() ? nullptr : &later->second;
}

std::optional<std::string> Book::bytes(const ledger::RecordId& id) const {
  const std::string* held = find(id);
  return held ? std::optional<std::string>(*held) : std::nullopt;
}

const SequenceSet& Book::held_of(const ledger::DeviceKey& device) const {
  static const SequenceSet nothing;
  const auto covered = coverage_.find(device);
  return covered == coverage_.end() ? nothing : covered->second;
}

std::uint64_t Book::highest_used(const ledger::DeviceKey& device) const {
  const std::uint64_t held = held_of(device).highest();
  const auto after = ceded_.upper_bound({device, ~std::uint64_t{0}});
  if (after == ceded_.begin() || std::prev(after)->device != device) return held;
  return std::max(held, std::prev(after)->sequence);
}

void Book::each(
    const std::function<void(const ledger::RecordId&, const std::string&)>& visit) const {
  for (const auto& [device, line] : lines_) {
    for (std::size_t i = 0; i < line.first.size(); ++i) {
      if (!line.first[i].empty()) visit({device, i + 1}, line.first[i]);
    }
    for (const auto& [sequence, bytes] : line.later) visit({device, sequence}, bytes);
  }
}

Admission Overlay::take(const ledger::RecordId& id, std::string_view bytes) {
  Admission admission = admit(*this, id, bytes);
  for (const Place& place : admission.puts) put(place.id, place.bytes);
  for (const ledger::RecordId& dropped : admission.drops) changes_[dropped] = std::nullopt;
  return admission;
}

void Overlay::put(const ledger::RecordId& id, std::string_view bytes) {
  changes_[id] = std::string(bytes);
  if (const auto original = original_of(id, bytes)) ceded_.insert(original->id);
}

std::optional<std::string> Overlay::bytes(const ledger::RecordId& id) const {
  const auto change = changes_.find(id);
  return change == changes_.end() ? book_.bytes(id) : change->second;
}

bool Overlay::ceded(const ledger::RecordId& id) const {
  return ceded_.count(id) > 0 || book_.ceded(id);
}

}  // namespace nthtree::sync
