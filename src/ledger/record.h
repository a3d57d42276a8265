// SPDX-License-Identifier: Apache-2.0
//
// One line of the ledger: who wrote what, on which device, when. Never edited; a correction or a
// withdrawal is a record of its own that names the one it replaces.
//
// The bytes of a record as first written are kept for good and are what is stored, sent, compared
// and exported, so that a field or a kind this version does not know passes through unharmed.
// FORMAT.md has the grammar and a worked example; record.schema.json says it for machines.
//
//   Result<Record> record = read_record(bytes);
//   if (record && std::get_if<TagCount>(&record->body)) …
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "ledger/bodies.h"

namespace nthtree::ledger {

// 128 random bits made anew for every installation of the app: a phone that was reset or cloned
// is a new device. Written as 32 lower-case hexadecimal digits.
struct DeviceKey {
  std::uint64_t high = 0;
  std::uint64_t low = 0;
  friend auto operator<=>(const DeviceKey&, const DeviceKey&) = default;
  std::string text() const;
};
std::optional<DeviceKey> parse_device_key(std::string_view text);

// Names a record: the device and its own counter, 1, 2, 3 … without a gap. "<device>-<sequence>".
struct RecordId {
  DeviceKey device;
  std::uint64_t sequence = 0;
  friend auto operator<=>(const RecordId&, const RecordId&) = default;
  std::string text() const;
};
std::optional<RecordId> parse_record_id(std::string_view text);

// Hybrid logical clock (Kulkarni et al., OPODIS 2014, LNCS 8878 p. 17-32): close to wall time, and
// later than everything its writer had seen. See clock_of_device.h.
struct Stamp {
  std::int64_t at_ms = 0;  // since 1970-01-01 UTC
  std::uint32_t tick = 0;
  friend auto operator<=>(const Stamp&, const Stamp&) = default;
};

// The place of a record in the fold: the same on every device that holds it.
struct Place {
  Stamp stamp;
  RecordId id;
  friend auto operator<=>(const Place&, const Place&) = default;
};

struct Record {
  RecordId id;
  Stamp stamp;
  std::int64_t clock_ms = 0;  // the device's own wall clock when it wrote, right or wrong
  std::string author;         // person id; empty before anybody has said who they are
  std::string kind;           // wire name, also of kinds this version does not know
  std::optional<RecordId> replaces;
  Body body;          // Unknown where the kind, or its version, is not known
  std::string bytes;  // the record as first written, one line of JSON without a line break

  Place place() const { return {stamp, id}; }
};

// An empty body of the kind at this index of Body.
Body body_of_kind(std::size_t kind);

// Limits on what is read from outside; each has its reason in FORMAT.md.
inline constexpr std::size_t record_bytes_max = 4096;
inline constexpr int json_depth_max = 8;
inline constexpr std::size_t text_bytes_max = 1024;

// Reads one record. Trusts nothing: size, depth, UTF-8, types and ranges are checked, and the
// error names the field, the value and what is allowed. Unknown fields are kept in `bytes`.
base::Result<Record> read_record(std::string_view bytes);

// Makes the bytes of a new record from its parts (record.bytes is ignored).
// An error where a body value is outside its limits, in the same words as read_record.
base::Result<Record> write_record(Record record);

}  // namespace nthtree::ledger
