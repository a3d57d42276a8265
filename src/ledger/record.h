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

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "ledger/kinds.h"
#include "ledger/record_id.h"

namespace nthtree::ledger {

struct Record {
  RecordId id;
  Stamp stamp;
  std::int64_t clock_ms = 0;  // the device's own wall clock when it wrote, right or wrong
  std::string author;         // person id; empty before anybody has said who they are
  std::string kind;           // wire name, also of kinds this version does not know
  std::optional<RecordId> replaces;
  Body body;          // Unknown where the kind, or its version, is not known
  std::string bytes;  // the record as first written, one line of JSON without a line break

  FoldPosition position() const { return {stamp, id}; }
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
// The same of bytes that somebody else keeps: record.bytes stays empty.
base::Result<Record> read_kept_record(std::string_view bytes);

// Makes the bytes of a new record from its parts (record.bytes is ignored).
// An error where a body value is outside its limits, in the same words as read_record.
base::Result<Record> write_record(Record record);

}  // namespace nthtree::ledger
