// SPDX-License-Identifier: Apache-2.0
#include "ledger/season.h"

#include <algorithm>
#include <numeric>
#include <type_traits>

#include "base/clock.h"
#include "base/spare_room.h"
#include "base/text.h"
#include "ledger/body_fields.h"

namespace nthtree::ledger {
namespace {

template <typename T>
auto position_of(Entries<T>& entries, const FoldPosition& position) {
  // New records nearly always come last: look there before searching.
  if (entries.empty() || entries.back().position < position) return entries.end();
  return std::lower_bound(entries.begin(), entries.end(), position,
                          [](const Entry<T>& e, const FoldPosition& p) { return e.position < p; });
}

// The last entry to its place. At the end it nearly always belongs, and vector::insert is twice the
// code for each of the kinds.
template <typename T>
void move_last_to(Entries<T>& entries, std::ptrdiff_t place) {
  const auto position = entries.begin() + place;
  if (position + 1 == entries.end()) return;
  Entry<T> last = std::move(entries.back());
  std::move_backward(position, entries.end() - 1, entries.end());
  *position = std::move(last);
}

template <typename T>
void put(Entries<T>& entries, Entry<T> entry) {
  const auto place = position_of(entries, entry.position) - entries.begin();
  base::make_room(entries);
  entries.push_back(std::move(entry));
  move_last_to(entries, place);
}

// Where each of these stands in order: the first of the result is the index of the earliest. They
// come as runs in order, a device's each, which are merged two by two.
std::vector<std::uint32_t> order_of(const std::vector<FoldPosition>& places) {
  const auto size = static_cast<std::uint32_t>(places.size());
  std::vector<std::uint32_t> order(size), merged(size), ends;
  std::iota(order.begin(), order.end(), 0u);
  for (std::uint32_t i = 1; i < size; ++i) {
    if (places[i] < places[i - 1]) ends.push_back(i);
  }
  ends.push_back(size);
  const auto is_before = [&](std::uint32_t a, std::uint32_t b) { return places[a] < places[b]; };
  while (ends.size() > 1) {
    std::uint32_t begin = 0;
    std::vector<std::uint32_t> further;
    for (std::size_t run = 0; run < ends.size(); run += 2) {
      const std::uint32_t middle = ends[run], end = ends[std::min(run + 1, ends.size() - 1)];
      std::merge(order.begin() + begin, order.begin() + middle, order.begin() + middle,
                 order.begin() + end, merged.begin() + begin, is_before);
      further.push_back(end);
      begin = end;
    }
    order.swap(merged);
    ends = std::move(further);
  }
  return order;
}

// Each entry is moved once, which for thousands of records device by device is far less than a
// sort of the entries themselves. The list keeps a little room, as base::give_back_room leaves it.
template <typename T>
void put_in_order(Entries<T>& entries) {
  std::vector<FoldPosition> places;
  places.reserve(entries.size());
  for (const Entry<T>& entry : entries) places.push_back(entry.position);
  if (std::is_sorted(places.begin(), places.end())) return;
  Entries<T> in_order;
  in_order.reserve(base::size_with_room(entries.size()));
  for (const std::uint32_t from : order_of(places)) in_order.push_back(std::move(entries[from]));
  entries = std::move(in_order);
}

template <typename T>
Entry<T>* entry_at(BlockSeason& block, const FoldPosition& position) {
  auto& entries = entries_of<T>(block);
  const auto found = position_of(entries, position);
  return found != entries.end() && found->position == position ? &*found : nullptr;
}

// FNV-1a, 64 bits: for noticing differences between replicas, not for security.
class Digest {
 public:
  void add(std::string_view bytes) {
    for (const char c : bytes) {
      state_ = (state_ ^ static_cast<unsigned char>(c)) * 0x100000001b3u;
    }
    state_ = (state_ ^ 0x1f) * 0x100000001b3u;  // so that "ab","c" differs from "a","bc"
  }
  std::string text() const {
    return base::print("%016llx", static_cast<unsigned long long>(state_));
  }

 private:
  std::uint64_t state_ = 0xcbf29ce484222325u;
};

void add_body(Digest& digest, Body body) {
  FieldWriter writer;
  Visited visitor(writer);
  body_fields(visitor, body);
  digest.add(writer.object());
}

template <typename T>
void add_entries(Digest& digest, const Entries<T>& entries) {
  for (const Entry<T>& entry : entries) {
    digest.add(entry.position.id.text());
    digest.add(entry.author);
    digest.add(entry.withdrawn ? "withdrawn" : entry.corrected ? "corrected" : "");
    if (!entry.withdrawn) add_body(digest, entry.body);
  }
}

}  // namespace

BlockSeason& Season::block_named(const std::string& id) {
  const auto letter = [&](std::size_t i) { return i <= id.size() ? id[id.size() - i] : 0; };
  const auto place = static_cast<unsigned>(letter(1) + 10 * letter(2)) % blocks_found_.size();
  auto& remembered = blocks_found_[place];
  if (remembered.get() && remembered.get()->id == id) return *remembered.get();
  const auto [found, is_new] = blocks_.try_emplace(id);
  BlockSeason& block = found->second;
  if (is_new) {
    block.id = id;
    block.number = static_cast<std::uint32_t>(block_ids_.size());
    block_ids_.push_back(id);
  }
  remembered.set(&block);
  return block;
}

BlockSeason& Season::block_for(const std::string& id, const Change& change) {
  BlockSeason& block = block_named(id);
  block.changes.add(change);
  return block;
}

bool Season::has_entry(const RecordId& id) const {
  const Seat* seat = seats_.find(id);
  return seat && seat->kind != 0;
}

template <typename T>
void Season::insert(const Record& record, const T& body, Seat& seat) {
  BlockSeason& block = block_for(body.block, {body_index<T>, record.position()});
  NTHTREE_ASSERT(block.number < Seat::blocks_max);
  seat.at_ms = record.stamp.at_ms;
  seat.tick = record.stamp.tick;
  seat.block = block.number & (Seat::blocks_max - 1);
  seat.kind = static_cast<std::uint8_t>(record.body.index());
  auto& entries = entries_of<T>(block);
  const auto place = is_loading_ ? entries.end() : position_of(entries, record.position());
  const std::ptrdiff_t at = place - entries.begin();
  base::make_room(entries);
  Entry<T>& entry = entries.emplace_back();
  entry.position = record.position();
  entry.author = record.author;
  entry.body = body;
  entry.closed = !spans_.back().holds(record.stamp.at_ms);
  move_last_to(entries, at);
}

template <typename T>
void Season::settle(const Record& record, const T& body) {
  const Subject subject{record.body.index(), body.key()};
  auto& all = settings_[subject];
  const auto position = all.emplace(record.position(), Said{record.body, record.author}).first;
  settings_at_.emplace(record.id, std::pair{subject, record.position()});
  if (std::next(position) == all.end()) keep(body);
  made_of_all(subject.first);
}

// What was in force before comes into force again; where there was nothing, nothing is set.
void Season::withdraw_settings(const RecordId& id) {
  const auto at = settings_at_.find(id);
  if (at == settings_at_.end()) return;
  const auto all = settings_.find(at->second.first);
  const auto gone = all->second.find(at->second.second);
  settings_at_.erase(at);
  const bool was_in_force = std::next(gone) == all->second.end();
  const Body body = std::move(gone->second.body);
  all->second.erase(gone);
  const std::size_t kind = all->first.first;
  if (!was_in_force) return made_of_all(kind);
  const bool is_last = all->second.empty();
  std::visit(
      [&](const auto& settings) {
        using T = std::decay_t<decltype(settings)>;
        if constexpr (is_settings<T>) {
          is_last ? forget(settings) : keep(std::get<T>(all->second.rbegin()->second.body));
        }
      },
      body);
  if (is_last) settings_.erase(all);
  made_of_all(kind);
}

void Season::forget(const FarmSettings&) {
  farm_ = {};
  has_farm_ = false;
}

void Season::forget(const BlockSettings& settings) {
  block_for(settings.block.id).block.reset();
}

void Season::forget(const PersonSettings& settings) { people_.erase(settings.person.id); }

void Season::forget(const VarietySettings& settings) { varieties_.erase(settings.key()); }

void Season::keep(const FarmSettings& settings) {
  farm_ = settings;
  const auto rule = base::TimeZone::parse(settings.time_zone);
  time_zone_ = rule ? rule.value() : base::TimeZone::fixed(settings.utc_offset_minutes);
  has_farm_ = true;
}

void Season::keep(const BlockSettings& settings) {
  block_for(settings.block.id).block = settings.block;
}

void Season::keep(const PersonSettings& settings) {
  people_[settings.person.id] = settings.person;
}

void Season::keep(const VarietySettings& settings) {
  varieties_[settings.key()] = settings.variety;
}

bool Season::apply(const Record& record) {
  Seat* const seat = seats_.add(record.id);
  if (!seat) return false;
  ++revision_;
  if (std::holds_alternative<Unknown>(record.body)) {
    ++unknown_records_;
    return true;
  }
  if (record.replaces || std::holds_alternative<Withdrawal>(record.body)) {
    if (record.replaces) apply_replacement(record);
    return true;  // a withdrawal that names nothing takes nothing away
  }
  std::visit(
      [&](const auto& body) {
        using T = std::decay_t<decltype(body)>;
        if constexpr (is_listed<T>) {
          insert(record, body, *seat);
        } else if constexpr (is_settings<T>) {
          settle(record, body);
        }
      },
      record.body);
  release_waiting(record.id);
  return true;
}

void Season::apply_all(const std::vector<Record>& records) {
  SeasonLoader loader(*this);
  for (const Record& record : records) loader.add(record);
}

void Season::begin_anew() {
  const std::uint64_t before = revision_;
  *this = {};
  revision_ = before + 1;
}

void SeasonLoader::add(const Record& record) {
  const bool changes_an_entry = record.replaces || season_.waiting_.contains(record.id);
  changes_an_entry ? late_.push_back(record) : void(season_.apply(record));
}

void SeasonLoader::finish() {
  if (!season_.is_loading_) return;
  season_.is_loading_ = false;
  for (auto& [id, block] : season_.blocks_) {
    each_list(block, [](auto& entries) { put_in_order(entries); });
    base::give_back_room(block.tag_counts);  // most of a season
  }
  season_.read_weather();
  season_.read_closings();
  for (const Record& record : late_) season_.apply(record);
  late_.clear();
}

void Season::apply_replacement(const Record& record) {
  RecordId root = *record.replaces;
  if (const auto link = root_of_replacement_.find(root); link != root_of_replacement_.end()) {
    root = link->second;
  }
  if (settings_at_.contains(root)) {
    if (std::holds_alternative<Withdrawal>(record.body)) withdraw_settings(root);
    return;  // settings are changed by newer ones
  }
  if (!has_entry(root)) {
    waiting_.emplace(*record.replaces, record);
    return;
  }
  root_of_replacement_.emplace(record.id, root);
  replace(root, record);
  release_waiting(record.id);
}

// Applies what waited for this record, and what waited for that in turn. A loop, not a recursion:
// a chain of corrections may be as long as somebody cares to make it.
void Season::release_waiting(const RecordId& id) {
  if (waiting_.empty()) return;
  std::vector<RecordId> arrived = {id};
  while (!arrived.empty()) {
    const RecordId next = arrived.back();
    arrived.pop_back();
    const auto [first, last] = waiting_.equal_range(next);
    std::vector<Record> released;
    for (auto it = first; it != last; ++it) released.push_back(std::move(it->second));
    waiting_.erase(first, last);
    for (const Record& record : released) {
      const auto link = root_of_replacement_.find(next);
      const RecordId root = link == root_of_replacement_.end() ? next : link->second;
      if (std::holds_alternative<Withdrawal>(record.body)) withdraw_settings(root);
      if (!has_entry(root)) continue;
      root_of_replacement_.emplace(record.id, root);
      replace(root, record);
      arrived.push_back(record.id);
    }
  }
}

void Season::replace(const RecordId& root, const Record& by) {
  Seat& seat = *seats_.find(root);
  const FoldPosition position = by.position();
  const bool withdraws = std::holds_alternative<Withdrawal>(by.body);
  if (!withdraws && by.body.index() != seat.kind) return;  // a count cannot become advice

  Replaced& replaced = replaced_[root];
  const bool is_latest = !replaced.latest || *replaced.latest < position;
  const bool is_latest_value =
      !withdraws && (!replaced.latest_value || *replaced.latest_value < position);
  if (is_latest) {
    replaced.latest = position;
    replaced.withdrawn = withdraws;
  }
  if (is_latest_value) replaced.latest_value = position;
  if (!is_latest && !is_latest_value) return;

  std::visit(
      [&](const auto& shape) {
        using T = std::decay_t<decltype(shape)>;
        if constexpr (is_listed<T>) {
          change<T>(root, seat, replaced.withdrawn, is_latest_value ? &by : nullptr);
        }
      },
      body_of_kind(seat.kind));
}

template <typename T>
void Season::change(const RecordId& root, Seat& seat, bool withdrawn, const Record* new_value) {
  BlockSeason& block = block_for(block_ids_[seat.block]);
  Entry<T>* entry = entry_at<T>(block, {seat.stamp(), root});
  NTHTREE_ASSERT(entry);
  entry->withdrawn = withdrawn;
  if (!new_value) return;
  entry->body = std::get<T>(new_value->body);
  entry->corrected = true;
  if (entry->body.block == block.id) return;
  // Counted in another block than first written: the entry moves there and keeps its place in time.
  Entry<T> moved = std::move(*entry);
  auto& old_entries = entries_of<T>(block);
  old_entries.erase(old_entries.begin() + (entry - old_entries.data()));
  BlockSeason& other = block_for(moved.body.block);
  seat.block = other.number & (Seat::blocks_max - 1);
  put(entries_of<T>(other), std::move(moved));
}

const BlockSeason* Season::block(std::string_view id) const {
  const auto found = blocks_.find(std::string(id));
  return found == blocks_.end() ? nullptr : &found->second;
}

const orchard::Person* Season::person(std::string_view id) const {
  const auto found = people_.find(std::string(id));
  return found == people_.end() ? nullptr : &found->second;
}

std::vector<orchard::VarietyChange> Season::variety_changes() const {
  std::vector<orchard::VarietyChange> changes;
  for (const auto& [key, variety] : varieties_) changes.push_back(variety);
  return changes;
}

std::vector<SettingsEntry> Season::settings_history() const {
  std::vector<SettingsEntry> entries;
  for (const auto& [subject, all] : settings_) {
    const Body* before = nullptr;
    for (const auto& [position, said] : all) {
      entries.push_back({position, said.author, &said.body, before, false});
      before = &said.body;
    }
    entries.back().in_force = true;
  }
  std::sort(entries.begin(), entries.end(), [](const SettingsEntry& a, const SettingsEntry& b) {
    return b.position < a.position;
  });
  return entries;
}

std::vector<RecordId> Season::settings_in_force() const {
  std::vector<RecordId> ids;
  for (const auto& [subject, all] : settings_) {
    const bool first_counts = subject.first == body_index<SeasonClosed>;
    ids.push_back(first_counts ? all.begin()->first.id : all.rbegin()->first.id);
  }
  return ids;
}

std::int64_t Season::day_of(std::int64_t at_ms) const {
  const std::int64_t local_ms = at_ms + time_zone_.offset_minutes(at_ms) * 60000LL;
  return local_ms >= 0 ? local_ms / base::day_ms : (local_ms - base::day_ms + 1) / base::day_ms;
}

std::string Season::block_mark(const std::string& id) const {
  const auto all = settings_.find({body_index<BlockSettings>, id});
  if (all == settings_.end() || all->second.empty()) return "";
  Digest digest;
  digest.add(all->second.begin()->first.id.text());
  std::string mark = digest.text().substr(0, 8);
  for (char& c : mark) c = c >= 'a' ? static_cast<char>(c - 'a' + 'A') : c;
  return mark;
}

std::string Season::fingerprint() const {
  Digest digest;
  if (has_farm()) add_body(digest, farm_);
  for (const auto& [id, person] : people_) add_body(digest, PersonSettings{person});
  for (const auto& [key, variety] : varieties_) add_body(digest, VarietySettings{variety});
  for (const auto& [id, block] : blocks_) {
    const bool is_empty = !block.block && block.tag_counts.empty();
    digest.add(is_empty ? "" : id);
    if (block.block) add_body(digest, BlockSettings{*block.block});
    each_list(block, [&](const auto& entries) { add_entries(digest, entries); });
  }
  digest.add(last_station_);
  for (const auto& [station, weather] : stations_) {
    digest.add(station);
    for (const auto& [day, warmth] : weather.days) {
      digest.add(base::print("%lld %.1f %.1f", static_cast<long long>(day), warmth.low,
                             warmth.high));
    }
  }
  for (const SeasonSpan& span : spans_) {
    digest.add(base::print("%d %lld", span.year, static_cast<long long>(span.to_ms)));
  }
  digest.add(base::print("%zu unknown", unknown_records_));
  return digest.text();
}

}  // namespace nthtree::ledger
