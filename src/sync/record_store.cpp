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

constexpr std::uint64_t per_block = RecordStore::block_records;

std::size_t block_of(std::uint64_t sequence) {
  return static_cast<std::size_t>((sequence - 1) / per_block);
}

std::size_t place_of(std::uint64_t sequence) {
  return static_cast<std::size_t>((sequence - 1) % per_block);
}

// Whether lines of this pattern begin as this program writes them, with this head of their ids.
bool is_plain(const PartedLines::Pattern& pattern, std::string_view head) {
  const auto& pieces = pattern.pieces;
  return pieces.size() > 2 && pieces[0].text == "{\"v\":" && pieces[0].number_behind &&
         pieces[1].text == head && pieces[1].number_behind && pieces[2].text.starts_with('"');
}

// Whether these are a device's records from this one on.
bool follow_on(const PartedLines& lines, ledger::RecordId id) {
  const std::string head = ",\"id\":\"" + id.device.text() + '-';
  std::vector<bool> plain;
  for (const auto& pattern : lines.patterns()) plain.push_back(is_plain(pattern, head));
  for (std::size_t i = 0; i < lines.size(); ++i, ++id.sequence) {
    const auto numbers = lines.numbers(i);
    const bool is_next = plain[lines.pattern_of(i)] && numbers[0] == 1 &&
                         numbers[1] == static_cast<std::int64_t>(id.sequence);
    if (!is_next && peek_id(lines.text(i)) != id) return false;
  }
  return true;
}

}  // namespace

Lines RecordStore::Block::lines() const {
  if (packed_records == 0) return {};
  auto text = unpack_lines(packed, packed_records, packed_bytes);
  NTHTREE_ASSERT(text.has_value());
  return Lines(std::move(*text));
}

void RecordStore::Block::unpack() {
  const Lines first = lines();
  std::vector<std::string> all;
  all.reserve(size());
  for (std::size_t i = 0; i < first.size(); ++i) all.emplace_back(first[i]);
  std::move(plain.begin(), plain.end(), std::back_inserter(all));
  *this = {};
  plain = std::move(all);
}

void RecordStore::Block::pack() {
  unpack();
  const std::vector<std::string_view> lines(plain.begin(), plain.end());
  packed_bytes = lines.size();
  for (const std::string_view line : lines) packed_bytes += line.size();
  packed = pack_lines(lines);
  packed.shrink_to_fit();
  packed_records = lines.size();
  plain = {};
}

// id: of one of its records.
void RecordStore::pack_if_whole(const ledger::RecordId& id, Block& block) {
  if (block.size() < block_records) return;
  for (const std::string& line : block.plain) {
    if (line.empty()) return;
  }
  unpacked_.forget({id.device, block_of(id.sequence)});
  block.pack();
}

void RecordStore::append(const ledger::DeviceKey& key, OfDevice& device, std::string bytes) {
  if (device.length++ % per_block == 0) device.blocks.emplace_back();
  device.blocks.back().plain.push_back(std::move(bytes));
  pack_if_whole({key, device.length}, device.blocks.back());
}

// The records of a block one by one, to be changed.
std::vector<std::string>& RecordStore::opened(const ledger::RecordId& id, Block& block) {
  if (block.packed_records > 0) {
    unpacked_.forget({id.device, block_of(id.sequence)});
    block.unpack();
  }
  return block.plain;
}

void RecordStore::replace(Block& block, const ledger::RecordId& id, std::string bytes) {
  if (this->bytes(id) == bytes) return;  // its rank alone has changed
  opened(id, block)[place_of(id.sequence)] = std::move(bytes);
  pack_if_whole(id, block);
}

void RecordStore::note_ceded(const ledger::RecordId& id, std::string_view bytes, Rank rank) {
  if (const auto original = original_of(id, bytes)) {
    const auto [left, is_new] = ceded_.emplace(original->id, rank);
    left->second = std::max(left->second, rank);
  }
}

void RecordStore::put(const ledger::RecordId& id, std::string bytes, Rank rank) {
  NTHTREE_ASSERT(id.sequence > 0 && !bytes.empty());
  OfDevice& device = devices_[id.device];
  SequenceSet& held = coverage_[id.device];
  size_ += !held.contains(id.sequence);
  held.add(id.sequence);
  rank == Rank::hearsay ? hearsay_[id.device].add(id.sequence) : remove(hearsay_, id);
  note_ceded(id, bytes, rank);
  if (id.sequence <= device.length) {
    replace(device.blocks[block_of(id.sequence)], id, std::move(bytes));
  } else if (id.sequence > device.length + 1) {
    device.later[id.sequence] = std::move(bytes);
  } else {
    append(id.device, device, std::move(bytes));
  }
  // A hole was filled: what waited behind it moves up.
  for (auto next = device.later.begin();
       next != device.later.end() && next->first == device.length + 1;
       next = device.later.erase(next)) {
    append(id.device, device, std::move(next->second));
  }
}

std::optional<PartedLines> RecordStore::put_packed(Packed packed, const SequenceSet& hearsay) {
  const ledger::RecordId id{packed.device, packed.first};
  OfDevice& device = devices_[id.device];
  const bool is_next = id.sequence == device.length + 1 && device.length % per_block == 0;
  if (!is_next || !device.later.empty()) return std::nullopt;
  if (packed.records == 0 || packed.records > block_records) return std::nullopt;
  packed.lines.shrink_to_fit();
  Block& block = device.blocks.emplace_back();
  block.packed = std::move(packed.lines);  // the lines are read where they stay
  auto lines = PartedLines::read(block.packed, packed.records,
                                 packed.records * (kept_bytes_max + 1));
  if (!lines || !follow_on(*lines, id)) {
    device.blocks.pop_back();
    return std::nullopt;
  }
  block.packed_records = packed.records;
  block.packed_bytes = lines->bytes();
  device.length += packed.records;
  size_ += packed.records;
  SequenceSet here;
  here.add(id.sequence, device.length);
  coverage_[id.device].add(here);
  demote({{id.device, here.common_with(hearsay)}});
  // No other place in a block is a re-homed record's.
  note_ceded(id, lines->text(0), rank(id));
  return lines;
}

void RecordStore::drop(const ledger::RecordId& id) {
  if (!holds(id)) return;
  OfDevice& device = devices_[id.device];
  if (id.sequence <= device.length) {
    opened(id, device.blocks[block_of(id.sequence)])[place_of(id.sequence)].clear();
  } else {
    device.later.erase(id.sequence);
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

std::optional<std::string> RecordStore::bytes(const ledger::RecordId& id) const {
  if (!holds(id)) return std::nullopt;
  const OfDevice& device = devices_.at(id.device);
  if (id.sequence > device.length) return device.later.at(id.sequence);
  const std::size_t index = block_of(id.sequence), place = place_of(id.sequence);
  const Block& block = device.blocks[index];
  if (place >= block.packed_records) return block.plain[place - block.packed_records];
  return std::string(unpacked_.of({id.device, index}, [&] { return block.lines(); })[place]);
}

std::string_view RecordStore::packed(const ledger::DeviceKey& device, std::uint64_t first) const {
  const auto line = devices_.find(device);
  if (line == devices_.end() || first == 0 || first > line->second.length) return {};
  return place_of(first) == 0 ? line->second.blocks[block_of(first)].packed : std::string_view();
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

// Calls in_block(block, device, range) for what of these ids lies in one block after another, and
// later(id, bytes) for what lies behind a hole.
template <typename VisitBlock, typename VisitLater>
void RecordStore::each_block_of(const Coverage& ids, VisitBlock&& in_block,
                                VisitLater&& later) const {
  for (const auto& [device, set] : ids) {
    const auto line = devices_.find(device);
    if (line == devices_.end()) continue;
    for (auto [first, last] : set.ranges()) {
      const std::uint64_t end = std::min(last, line->second.length);
      while (first <= end) {
        const std::size_t index = block_of(first);
        const std::uint64_t here = std::min(end, (index + 1) * per_block);
        in_block(line->second.blocks[index], device, SequenceSet::Range{first, here});
        first = here + 1;
      }
      const auto& waiting = line->second.later;
      for (auto at = waiting.lower_bound(first); at != waiting.end() && at->first <= last; ++at) {
        later({device, at->first}, at->second);
      }
    }
  }
}

void RecordStore::each_in(const Block& block, const ledger::DeviceKey& device,
                          SequenceSet::Range range, const Visit& visit) const {
  const std::size_t behind = block.packed_records;
  const bool has_packed = range.first <= range.last && place_of(range.first) < behind;
  const Lines unpacked = has_packed ? block.lines() : Lines();
  for (std::uint64_t sequence = range.first; sequence <= range.last; ++sequence) {
    const std::size_t place = place_of(sequence);
    const std::string_view bytes = place < behind ? unpacked[place] : block.plain[place - behind];
    if (!bytes.empty()) visit({device, sequence}, bytes);
  }
}

void RecordStore::each_of(const Coverage& ids, const Visit& visit) const {
  const auto in_block = [&](const Block& block, const ledger::DeviceKey& device,
                            SequenceSet::Range range) { each_in(block, device, range, visit); };
  each_block_of(ids, in_block, visit);
}

RecordStore::Amount RecordStore::amount(const Coverage& ids) const {
  Amount amount;
  const auto add = [&](const ledger::RecordId&, std::string_view bytes) {
    ++amount.records;
    amount.bytes += bytes.size() + 1;
  };
  const auto in_block = [&](const Block& block, const ledger::DeviceKey& device,
                            SequenceSet::Range range) {
    const std::size_t packed = block.packed_records;
    if (place_of(range.first) == 0 && range.last - range.first + 1 >= packed) {
      amount.records += packed;
      amount.bytes += block.packed_bytes;
      range.first += packed;
    }
    each_in(block, device, range, add);
  };
  each_block_of(ids, in_block, add);
  return amount;
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
