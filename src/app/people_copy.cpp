// SPDX-License-Identifier: Apache-2.0
#include "app/people_copy.h"

#include <charconv>

#include "base/check_sum.h"
#include "base/text.h"

namespace nthtree::app {
namespace {

constexpr std::size_t sum_digits = 8;  // of the check sum, which comes first

std::string sum_of(std::string_view lines) { return base::print("%08x", base::crc32(lines)); }

}  // namespace

std::string write_people_copy(const ledger::Season& season, const sync::RecordStore& store) {
  std::string lines;
  for (const ledger::RecordId& id : season.settings_in_force()) {
    const auto bytes = store.bytes(id);
    const auto record = bytes ? ledger::read_record(*bytes)
                              : base::Result<ledger::Record>(base::Error{});
    const bool is_person = record && std::holds_alternative<ledger::PersonSettings>(record->body);
    if (is_person) lines += *bytes + '\n';
  }
  return sum_of(lines) + lines;
}

std::optional<ledger::Season> read_people_copy(std::string_view text) {
  std::string_view lines = text.substr(std::min(sum_digits, text.size()));
  if (text.substr(0, text.size() - lines.size()) != sum_of(lines)) return std::nullopt;
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
