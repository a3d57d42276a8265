// SPDX-License-Identifier: Apache-2.0
#include "app/batch.h"

#include <algorithm>
#include <map>
#include <utility>
#include <variant>
#include <vector>

#include "ledger/record_table.h"

namespace nthtree::app {
namespace {

constexpr std::size_t file_part_bytes = 256 * 1024;
constexpr std::size_t rows_at_once = 4096;  // in memory; each time their blocks are unpacked
constexpr std::string_view farm_mark = "\"farm\"";  // found quickly, then read in full

// A device never goes back in time (ledger/clock_of_device.h), so from its last record backwards
// the first one of another day ends the search: a long season costs nothing.
void add_today(sync::Coverage& ids, const sync::RecordStore& store, const ledger::Season& season,
               std::int64_t today) {
  for (const auto& [device, held] : store.coverage()) {
    for (std::uint64_t sequence = held.highest(); sequence > 0; --sequence) {
      const auto bytes = store.bytes({device, sequence});
      if (!bytes) continue;
      const auto record = ledger::read_record(*bytes);
      if (!record) continue;
      if (season.day_of(record->stamp.at_ms) < today) break;
      ids[device].add(sequence);
    }
  }
  store.rest();
}

// A farm's own settings are a handful of records; they tell its phones from another farm's.
void add_farm(sync::Coverage& ids, const ledger::Season& season) {
  for (const ledger::SettingsEntry& entry : season.settings_history()) {
    const ledger::RecordId& id = entry.position.id;
    if (std::holds_alternative<ledger::FarmSettings>(*entry.now)) ids[id.device].add(id.sequence);
  }
}

}  // namespace

sync::Coverage settings_ids(const ledger::Season& season) {
  sync::Coverage ids;
  for (const ledger::RecordId& id : season.settings_in_force()) ids[id.device].add(id.sequence);
  return ids;
}

sync::Coverage ids_of(screens::Batch batch, const sync::Client& client,
                      const ledger::Season& season, std::int64_t now_ms) {
  if (batch == screens::Batch::everything) return client.store().coverage();
  sync::Coverage ids;
  if (batch == screens::Batch::unsent) {
    ids = client.unsent();
    if (!ids.empty()) add_farm(ids, season);
    return ids;
  }
  ids = settings_ids(season);
  add_farm(ids, season);
  add_today(ids, client.store(), season, season.day_of(now_ms));
  return ids;
}

screens::BatchSize measure(const sync::Coverage& ids, const sync::RecordStore& store) {
  const sync::RecordStore::Amount amount = store.amount(ids);
  return {static_cast<std::int64_t>(amount.records), static_cast<std::int64_t>(amount.bytes)};
}

std::string lines_of(const sync::Coverage& ids, const sync::RecordStore& store) {
  std::string lines;
  lines.reserve(store.amount(ids).bytes);
  store.each_of(ids, [&lines](const ledger::RecordId&, std::string_view bytes) {
    (lines += bytes) += '\n';
  });
  return lines;
}

void FileOut::add(std::string_view text) {
  part_ += text;
  if (part_.size() < file_part_bytes) return;
  platform_.add_to_file(part_);
  part_.clear();
}

void FileOut::save(std::string_view name, std::string_view mime, bool share) {
  platform_.save_file(name, mime, std::exchange(part_, {}), share);
}

void write_lines(const sync::Coverage& ids, const sync::RecordStore& store, FileOut& out) {
  store.each_of(ids, [&out](const ledger::RecordId&, std::string_view bytes) {
    out.add(bytes);
    out.add("\n");
  });
}

void write_record_table(const sync::RecordStore& store, const base::TimeZone& farm, FileOut& out) {
  ledger::RecordTable table(farm);
  std::vector<ledger::FoldPosition> places;
  store.each([&](const ledger::RecordId&, std::string_view bytes) {
    const auto record = ledger::read_record(bytes);
    if (!record) return;
    table.note(*record);
    places.push_back(record->position());
  });
  std::sort(places.begin(), places.end());
  out.add(table.head());
  for (std::size_t at = 0; at < places.size(); at += rows_at_once) {
    sync::Coverage some;
    const std::size_t end = std::min(at + rows_at_once, places.size());
    for (std::size_t i = at; i < end; ++i) some[places[i].id.device].add(places[i].id.sequence);
    std::map<ledger::FoldPosition, ledger::Record> records;
    store.each_of(some, [&](const ledger::RecordId&, std::string_view bytes) {
      auto record = ledger::read_record(bytes);
      if (record) records.emplace(record->position(), std::move(*record));
    });
    for (const auto& [position, record] : records) out.add(table.row(record));
  }
}

std::string other_farm(std::string_view lines, const sync::RecordStore& store,
                       const ledger::Season& season) {
  if (!season.has_farm()) return "";
  std::string theirs;
  for (std::size_t at = lines.find(farm_mark); at != std::string_view::npos;) {
    const std::size_t before = lines.rfind('\n', at);
    const std::size_t first = before == std::string_view::npos ? 0 : before + 1;
    const std::size_t end = std::min(lines.find('\n', at), lines.size());
    std::string_view line = lines.substr(first, end - first);
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    const auto record = ledger::read_record(line);
    if (record) {
      if (const auto* farm = std::get_if<ledger::FarmSettings>(&record->body)) {
        if (farm->name == season.farm().name || store.holds(record->id)) return "";
        theirs = farm->name;
      }
    }
    at = lines.find(farm_mark, end);
  }
  return theirs;
}

}  // namespace nthtree::app
