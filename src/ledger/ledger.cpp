// SPDX-License-Identifier: Apache-2.0
#include "ledger/ledger.h"

#include "base/text.h"

namespace nthtree::ledger {

Ledger::Added Ledger::add(const RecordId& id, std::string_view bytes) {
  NTHTREE_ASSERT(id.sequence > 0);
  Line& line = lines_[id.device];
  const auto [position, is_new] = line.records.try_emplace(id.sequence, bytes);
  if (!is_new) return position->second == bytes ? Added::already_held : Added::conflict;
  ++size_;
  for (auto next = line.records.find(line.head + 1);
       next != line.records.end() && next->first == line.head + 1; ++next) {
    ++line.head;
  }
  return Added::added;
}

const std::string* Ledger::bytes(const RecordId& id) const {
  const auto line = lines_.find(id.device);
  if (line == lines_.end()) return nullptr;
  const auto record = line->second.records.find(id.sequence);
  return record == line->second.records.end() ? nullptr : &record->second;
}

std::uint64_t Ledger::head(const DeviceKey& device) const {
  const auto line = lines_.find(device);
  return line == lines_.end() ? 0 : line->second.head;
}

std::uint64_t Ledger::highest(const DeviceKey& device) const {
  const auto line = lines_.find(device);
  return line == lines_.end() || line->second.records.empty()
             ? 0
             : line->second.records.rbegin()->first;
}

std::vector<DeviceKey> Ledger::devices() const {
  std::vector<DeviceKey> keys;
  for (const auto& [key, line] : lines_) keys.push_back(key);
  return keys;
}

void Ledger::each(
    const std::function<void(const RecordId&, const std::string&)>& visit) const {
  for (const auto& [key, line] : lines_) {
    for (const auto& [sequence, bytes] : line.records) visit({key, sequence}, bytes);
  }
}

void LedgerReader::line(std::string_view text) {
  ++line_number_;
  // Files pass through Windows, and are put together there: a mark before any line is no part of
  // a record, whose bytes are its identity.
  if (text.starts_with(base::byte_order_mark)) text.remove_prefix(base::byte_order_mark.size());
  if (!text.empty() && text.back() == '\r') text.remove_suffix(1);
  if (text.empty()) return;
  auto record = read_record(text);
  if (record) return on_record_(std::move(*record));
  base::Error error = record.error();
  error.where = base::print("line %d%s", line_number_, error.where.empty() ? "" : ": ") +
                error.where;
  on_error_(std::move(error));
}

void LedgerReader::take(std::string_view part) {
  for (std::size_t end; (end = part.find('\n')) != std::string_view::npos;) {
    const std::string_view rest = part.substr(0, end);
    begun_.empty() ? line(rest) : line(begun_.append(rest));
    begun_.clear();
    part.remove_prefix(end + 1);
  }
  begun_.append(part);
}

void LedgerReader::end() {
  if (!begun_.empty()) line(begun_);
  begun_.clear();
}

LedgerFile read_ledger_file(std::string_view text) {
  LedgerFile file;
  if (text.size() > ledger_file_bytes_max) {
    file.errors.push_back({"too_long",
                           base::print("%zu bytes, of which %zu are allowed", text.size(),
                                       ledger_file_bytes_max),
                           "file"});
    return file;
  }
  LedgerReader reader([&](Record record) { file.records.push_back(std::move(record)); },
                      [&](base::Error error) { file.errors.push_back(std::move(error)); });
  reader.take(text);
  reader.end();
  return file;
}

}  // namespace nthtree::ledger
