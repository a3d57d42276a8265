// SPDX-License-Identifier: Apache-2.0
#include "app/people_copy.h"

#include <algorithm>

#include "base/check_sum.h"

namespace nthtree::app {

std::string write_people_copy(const ledger::Season& season, const sync::RecordStore& store) {
  sync::Coverage settings;
  for (const ledger::RecordId& id : season.settings_in_force()) {
    settings[id.device].add(id.sequence);
  }
  std::string lines;
  store.each_of(settings, [&](const ledger::RecordId&, std::string_view bytes) {
    const auto record = ledger::read_record(bytes);
    if (!record || !std::holds_alternative<ledger::PersonSettings>(record->body)) return;
    lines.append(bytes).push_back('\n');
  });
  return base::crc32_text(lines) + lines;
}

std::optional<ledger::Season> read_people_copy(std::string_view text) {
  std::string_view lines = text.substr(std::min(base::crc32_digits, text.size()));
  if (text.substr(0, text.size() - lines.size()) != base::crc32_text(lines)) return std::nullopt;
  ledger::Season season;
  while (!lines.empty()) {
    const std::size_t end = std::min(lines.find('\n'), lines.size() - 1);
    if (const auto record = ledger::read_record(lines.substr(0, end))) season.apply(*record);
    lines.remove_prefix(end + 1);
  }
  if (season.people().empty()) return std::nullopt;
  return season;
}

}  // namespace nthtree::app
