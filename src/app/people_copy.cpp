// SPDX-License-Identifier: Apache-2.0
#include "app/people_copy.h"

#include <algorithm>

#include "app/batch.h"
#include "base/check_sum.h"
#include "base/text.h"

namespace nthtree::app {

std::string write_people_copy(const ledger::Season& season, const sync::RecordStore& store) {
  std::string lines;
  store.each_of(settings_ids(season), [&](const ledger::RecordId&, std::string_view bytes) {
    const auto record = ledger::read_record(bytes);
    if (!record || !std::holds_alternative<ledger::PersonSettings>(record->body)) return;
    lines.append(bytes).push_back('\n');
  });
  return base::crc32_text(lines) + lines;
}

std::optional<ledger::Season> read_people_copy(std::string_view text) {
  const std::string_view lines = text.substr(std::min(base::crc32_digits, text.size()));
  if (text.substr(0, text.size() - lines.size()) != base::crc32_text(lines)) return std::nullopt;
  ledger::Season season;
  for (std::string_view rest = lines; !rest.empty();) {
    if (const auto record = ledger::read_record(base::take_line(rest))) season.apply(*record);
  }
  if (season.people().empty()) return std::nullopt;
  return season;
}

}  // namespace nthtree::app
