// SPDX-License-Identifier: Apache-2.0
#include "app/parcel.h"

#include <algorithm>
#include <variant>

namespace nthtree::app {
namespace {

constexpr std::string_view farm_mark = "\"farm\"";  // found quickly, then read in full

bool is_farm(std::string_view bytes) {
  const auto record = ledger::read_record(bytes);
  return record && std::holds_alternative<ledger::FarmSettings>(record->body);
}

template <typename Visit>
void each_of(const sync::Coverage& ids, const sync::Book& book, Visit&& visit) {
  for (const auto& [device, set] : ids) {
    for (const sync::SequenceSet::Range& range : set.ranges()) {
      for (std::uint64_t sequence = range.first; sequence <= range.last; ++sequence) {
        if (const std::string* bytes = book.find({device, sequence})) visit(*bytes);
      }
    }
  }
}

// A device never goes back in time (ledger/clock_of_device.h), so from its last record backwards
// the first one of another day ends the search: a long season costs nothing.
void add_today(sync::Coverage& ids, const sync::Book& book, const ledger::Season& season,
               std::int64_t today) {
  for (const auto& [device, held] : book.coverage()) {
    for (std::uint64_t sequence = held.highest(); sequence > 0; --sequence) {
      const std::string* bytes = book.find({device, sequence});
      if (!bytes) continue;
      const auto record = ledger::read_record(*bytes);
      if (!record) continue;
      if (season.day_of(record->stamp.at_ms) < today) break;
      ids[device].add(sequence);
    }
  }
}

// A farm's own settings are a handful of records; they tell its phones from another farm's.
void add_farm(sync::Coverage& ids, const sync::Book& book) {
  book.each([&ids](const ledger::RecordId& id, const std::string& bytes) {
    if (bytes.find(farm_mark) != std::string::npos && is_farm(bytes)) {
      ids[id.device].add(id.sequence);
    }
  });
}

void add_settings(sync::Coverage& ids, const ledger::Season& season) {
  for (const ledger::RecordId& id : season.settings_in_force()) ids[id.device].add(id.sequence);
}

}  // namespace

sync::Coverage ids_of(screens::Part part, const sync::Client& client,
                      const ledger::Season& season, std::int64_t now_ms) {
  if (part == screens::Part::everything) return client.book().coverage();
  sync::Coverage ids;
  if (part == screens::Part::unsent) {
    ids = client.unsent();
    if (!ids.empty()) add_farm(ids, client.book());
    return ids;
  }
  add_farm(ids, client.book());
  add_settings(ids, season);
  add_today(ids, client.book(), season, season.day_of(now_ms));
  return ids;
}

screens::Parcel measure(const sync::Coverage& ids, const sync::Book& book) {
  screens::Parcel parcel;
  each_of(ids, book, [&parcel](const std::string& bytes) {
    ++parcel.records;
    parcel.bytes += static_cast<std::int64_t>(bytes.size()) + 1;
  });
  return parcel;
}

std::string lines_of(const sync::Coverage& ids, const sync::Book& book) {
  std::string lines;
  lines.reserve(static_cast<std::size_t>(measure(ids, book).bytes));
  each_of(ids, book, [&lines](const std::string& bytes) { (lines += bytes) += '\n'; });
  return lines;
}

std::string other_farm(std::string_view lines, const sync::Book& book,
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
        if (farm->name == season.farm().name || book.find(record->id)) return "";
        theirs = farm->name;
      }
    }
    at = lines.find(farm_mark, end);
  }
  return theirs;
}

}  // namespace nthtree::app
