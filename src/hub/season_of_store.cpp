// SPDX-License-Identifier: Apache-2.0
#include "hub/season_of_store.h"

#include <algorithm>
#include <vector>

#include "base/clock.h"
#include "base/text.h"
#include "ledger/kinds.h"
#include "ledger/record_table.h"

namespace nthtree::hub {
namespace {

bool is_of_settings(const ledger::Body& body) {
  return std::visit(
      [](const auto& kind) { return ledger::is_settings<std::decay_t<decltype(kind)>>; }, body);
}

// All that count, in the order of the fold; a stamp that claims too much is that of the arrival.
std::vector<ledger::Record> counted(Store& store) {
  std::vector<ledger::Record> records;
  store.each_held([&](const sync::HeldRecord& held) {
    if (!held.standing.aside.empty()) return;
    auto record = ledger::read_record(held.bytes);
    if (!record) return;
    if (held.standing.at_ms != 0) record->stamp = {held.standing.at_ms, 0};
    records.push_back(std::move(*record));
  });
  std::sort(records.begin(), records.end(), [](const ledger::Record& a, const ledger::Record& b) {
    return a.position() < b.position();
  });
  return records;
}

// Days are the farm's, so its settings are read first.
std::vector<ledger::Record> within(Store& store, const Days& days) {
  std::vector<ledger::Record> records = counted(store);
  if (days.from.empty() && days.to.empty()) return records;
  ledger::Season settings;
  for (const ledger::Record& record : records) {
    if (is_of_settings(record.body)) settings.apply(record);
  }
  std::erase_if(records, [&](const ledger::Record& record) {
    if (is_of_settings(record.body)) return false;
    const std::int64_t day = settings.day_of(record.stamp.at_ms);
    const std::string date = base::iso_minute(day * base::day_ms).substr(0, 10);
    return (!days.from.empty() && date < days.from) || (!days.to.empty() && date > days.to);
  });
  return records;
}

}  // namespace

ledger::Season season_of(Store& store, const Days& days) {
  ledger::Season season;
  season.apply_all(within(store, days));
  return season;
}

std::string count_csv(Store& store, const Days& days) {
  return ledger::count_table(season_of(store, days));
}

std::string record_csv(Store& store, const Days& days) {
  const std::vector<ledger::Record> records = within(store, days);
  ledger::Season season;
  season.apply_all(records);
  return ledger::record_table(records, season.time_zone());
}

std::string lines_of(Store& store, const Days& days) {
  std::string lines;
  for (const ledger::Record& record : within(store, days)) lines += record.bytes + '\n';
  return lines;
}

}  // namespace nthtree::hub
